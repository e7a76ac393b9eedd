import { z } from 'zod';
import { field } from '../documents/field.js';
import { requirement } from './requirement-form.js';

/** What a copy keeps of the clip it was made from. */
export const requiredOriginal = {
  'as-original': requirement(
    'The copy matches the original of the same job, and the original is undamaged.',
    {
      frames: field(
        'Whether it must have the same number of frames, or the same length where the rate was converted.',
        z.boolean().default(true),
      ),
      timecode: field('Whether it must have the same start timecode.', z.boolean().default(true)),
      sound: field(
        "`true`: sound as long as the original's, where that has sound. `all`: every stream " +
          'and channel too. `false`: not required.',
        z.union([z.boolean(), z.literal('all')]).default(true),
      ),
      raster: field(
        'Whether the picture must have the size of the original, turned upright: for targets that neither scale nor crop.',
        z.boolean().default(false),
      ),
      bitDepth: field(
        '`true`: it uses no fewer bits than the original really uses. A number: at least so many, where the ' +
          'original uses more; for lossless targets of a fixed depth. `false`: not required.',
        z.union([z.boolean(), z.int().min(8).max(16)]).default(false),
      ),
    },
  ),
  precision: requirement(
    'The copy keeps the precision of the original of the same job, and no mistake explains how it differs, in at most ' +
      '12 frames spread over it.',
    {
      minBits: field(
        'Fewest bits kept (effective number of bits, IEEE Std 1241), in the plane that keeps fewest. An original with fewer has ' +
          'to keep all of its own.',
        z.number().min(1).max(16),
      ),
    },
  ),
  'same-frames': requirement(
    'Every frame of the copy shows what the original of the same job has there: none was repeated, swapped, replaced or ' +
      'lost. Where frames were repeated or left out to even the rate, those beside are as good. Frames that look the same ' +
      'may stand in any order.',
    {},
  ),
  'same-sound': requirement(
    'Each sound stream of the copy is that of the original of the same job it was made of: in step to the sample, at its ' +
      'level, with its polarity and channels, and the same in every tenth of a second of the first half hour. Sound that ' +
      'was mixed is not compared.',
    {},
  ),
  carried: requirement(
    'The copy keeps what else the original of the same job has: alpha, HDR metadata, other tracks, chapters and ' +
      'descriptive metadata.',
    {
      alpha: field('Whether alpha must be kept.', z.boolean().default(true)),
      hdr: field(
        'Whether mastering display and light level must be kept, in the container, the bitstream or as text, and ' +
          'dynamic HDR metadata, ICC profile and captions of the picture.',
        z.boolean().default(true),
      ),
      tracks: field(
        'Whether there must be as many other tracks of picture, subtitles, captions, data and timecode, and as many ' +
          'attached files. Cover pictures and the length of these tracks are not compared.',
        z.boolean().default(true),
      ),
      chapters: field('Whether there must be as many chapters.', z.boolean().default(true)),
      metadata: field(
        'Whether descriptive metadata must be kept, word for word: time of recording, place, comments, languages.',
        z.boolean().default(true),
      ),
    },
  ),
};
