import { z } from 'zod';
import { field } from '../documents/field.js';
import { requirement } from './requirement-form.js';

/** What a copy keeps of the clip it was made from. */
export const requiredOriginal = {
  'as-original': requirement(
    'The copy holds what the original of the same job held, and the original is whole.',
    {
      frames: field(
        'Whether it must have as many frames, or as long a picture where the rate was changed.',
        z.boolean().default(true),
      ),
      timecode: field('Whether it must have the same start timecode.', z.boolean().default(true)),
      sound: field(
        "`true`: there is sound, as long as the original's, where that has some. `all`: every stream " +
          'and channel too. `false`: not asked for.',
        z.union([z.boolean(), z.literal('all')]).default(true),
      ),
      raster: field(
        'Whether the picture must have the size of the original, turned upright: for targets that neither scale nor cut.',
        z.boolean().default(false),
      ),
      bitDepth: field(
        'Whether it must use no fewer bits than the original really uses: for targets that promise ' +
          'to lose nothing.',
        z.boolean().default(false),
      ),
    },
  ),
  carried: requirement(
    'The copy holds what else the original of the same job held: alpha, HDR metadata, further tracks, chapters and ' +
      'descriptive metadata.',
    {
      alpha: field('Whether alpha must be there where the original has it.', z.boolean().default(true)),
      hdr: field(
        'Whether mastering display and light level must be there, in the container, the bitstream or as text, and ' +
          'HDR metadata that changes, ICC profile and captions of the picture.',
        z.boolean().default(true),
      ),
      tracks: field(
        'Whether there must be as many further tracks of picture, subtitles, captions, data and timecode, and as many ' +
          'attached files. Cover pictures and the count of frames of the tracks are not looked at.',
        z.boolean().default(true),
      ),
      chapters: field('Whether there must be as many chapters.', z.boolean().default(true)),
      metadata: field(
        'Whether descriptive metadata must be there, word for word: time of recording, place, comments, languages.',
        z.boolean().default(true),
      ),
    },
  ),
};
