import { z } from 'zod';
import { field } from '../documents/field.js';
import { rationalText } from '../manifest/colour.js';
import { count, fraction, oneOrMore, positiveInt, proof, requirement } from './requirement-form.js';

/** How picture, sound and timecode lie in their container, and how the picture is coded. */
export const requiredContainer = {
  'picture-sound-length': requirement('Every stream of sound lasts as long as the picture.', {
    maxFrames: field('Largest difference, in frames of picture.', z.number().nonnegative().default(1)),
  }),
  timecode: requirement(
    'There is a start timecode, a label of its rate, drop frame only where ST 12-1 has it; a ' +
      "timecode track counts at the picture's rate.",
    {
      start: field(
        'First label of the file, in quotes: "10:00:00:00", with `;` before the frames for drop ' +
          'frame. Default: any.',
        z.string().optional(),
      ),
      continuous: field(
        "Whether the track's labels must run without a jump over the whole picture. Default: not asked for.",
        z.boolean().optional(),
      ),
    },
  ),
  'file-type': requirement('The name promises the container the file is, by its brand too.', {}),
  'fast-start': requirement(
    'MOV and MP4: the index lies before the samples, so that playing begins while the file still loads.',
    {},
  ),
  'container-structure': requirement('MOV and MP4: written in one piece, nothing after the last box.', {
    fragments: field('Whether fragments are allowed.', z.boolean().default(false)),
    maxTrailingBytes: field('Most bytes after the last box.', count.default(0)),
  }),
  'codec-level': requirement('Profile and level, both stated, and the same in container and bitstream.', {
    profiles: field('Accepted profiles, as the codec names them: `High 4:2:2`.', oneOrMore(z.string())),
    levels: field('Accepted levels, as the codec writes them, in quotes: "4.1".', oneOrMore(z.string())),
  }),
  'chroma-siting': requirement(
    'The file states where its chroma samples sit (ITU-T H.273); asked of 4:2:0 only.',
    {
      is: field(
        'Accepted sitings: `left` is usual, `topleft` in BT.2020 and BT.2100.',
        oneOrMore(z.enum(['left', 'center', 'topleft', 'top', 'bottomleft', 'bottom'])),
      ),
    },
  ),
  'clean-aperture': requirement(
    'What is to be shown of the raster: the clean aperture where MOV or MP4 states one, else the ' +
      'whole of it.',
    {
      width: field('Width to be shown, in pixels.', z.number().positive()),
      height: field('Height to be shown, in lines.', z.number().positive()),
    },
  ),
  'display-aspect': requirement('Shape of the whole picture as shown: raster times sample aspect.', {
    is: field('Width to height, as a rational: `16/9`.', rationalText),
    tolerance: field('Largest difference as a fraction of `is`.', fraction.default(0)),
  }),
  'rate-layers': requirement(
    'The bitstream states the rate at which the container shows its frames. Where it gives a clock ' +
      'tick and promises no fixed rate, another rate is a warning.',
    { proof },
  ),
  'raster-layers': requirement(
    'Container and bitstream say the same of the raster; the container may count whole macroblocks ' +
      '(EBU QC 0070W).',
    { proof },
  ),
  'aspect-layers': requirement('Container and bitstream say the same of the sample aspect.', { proof }),
  'scan-layers': requirement('Container and bitstream say the same of the scan.', {
    proof,
    segmented: field(
      'Whether progressive frames may be coded as two fields (PsF); a person should then look.',
      z.boolean().default(false),
    ),
  }),
  'hdr-layers': requirement('Container and bitstream say the same of mastering display and light level.', {
    proof,
  }),
  duration: requirement(
    'The picture lasts as long as its track says, or, where the container has no lengths of tracks, ' +
      'as the container says.',
    {
      seconds: field(
        'Length the picture must have, seconds, within `maxFrames`; of a file without picture its longest sound, ' +
          'within 0.1 s. Any where left out.',
        z.number().positive().optional(),
      ),
      maxFrames: field(
        "Largest difference in frames. Less than one is the rounding of a container's clock.",
        z.number().nonnegative().default(0.5),
      ),
    },
  ),
  timestamps: requirement('No gap, repeat or step back in the time stamps of the picture.', {}),
  'edit-list': requirement('Picture and sound begin together once edit lists are obeyed.', {
    maxSamples: field(
      'Largest difference, in samples of sound at its own rate; 1024 is one frame of AAC.',
      z.number().nonnegative().default(1024),
    ),
    simple: field(
      'Whether each track may have one edit at most, at the speed of recording, hiding no picture.',
      z.boolean().default(true),
    ),
  }),
  gop: requirement(
    'Groups of pictures are of this kind, and key frames are where the container marks them.',
    {
      maxLength: field(
        'Most frames from key frame to key frame. Default: any number.',
        positiveInt.optional(),
      ),
      constant: field(
        'Whether all groups must be of one length; the last may be cut short.',
        z.boolean().default(false),
      ),
      closed: field('Whether no picture may depend on the group before.', z.boolean().default(false)),
      intraOnly: field('Whether all pictures must be intra pictures.', z.boolean().default(false)),
    },
  ),
  'bit-rate': requirement(
    'The bit rate of the picture alone lies within these limits, at least one of them.',
    {
      minMean: field('Least mean, bits a second.', z.number().positive().optional()),
      maxMean: field('Largest mean, bits a second.', z.number().positive().optional()),
      maxPeak: field(
        'Largest bit rate over any whole second, bits a second.',
        z.number().positive().optional(),
      ),
    },
  ),
};
