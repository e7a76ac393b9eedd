import { z } from 'zod';
import { field } from '../documents/field.js';
import { rationalText } from '../manifest/colour.js';
import { count, fraction, oneOrMore, positiveInt, proof, requirement } from './requirement-form.js';

/** Requirements on the container, its timecode and layers, and the coding of the picture. */
export const requiredContainer = {
  'picture-sound-length': requirement('Every sound stream is as long as the picture.', {
    maxFrames: field('Largest difference, in frames of picture.', z.number().nonnegative().default(1)),
  }),
  timecode: requirement(
    'There is a start timecode that is valid at the frame rate, drop frame only where ST 12-1 defines it; a ' +
      'timecode track counts at the rate of the picture.',
    {
      start: field(
        'Timecode of the first frame, in quotes: "10:00:00:00", with `;` before the frames for drop ' +
          'frame. Default: any.',
        z.string().optional(),
      ),
      continuous: field(
        'Whether the timecode track must cover the whole picture without a jump. Default: not required.',
        z.boolean().optional(),
      ),
    },
  ),
  'file-type': requirement('The extension of the file matches its container and its brand.', {}),
  'fast-start': requirement(
    'MOV and MP4: the index is before the samples, so that playback can start while the file still loads.',
    {},
  ),
  'container-structure': requirement('MOV and MP4: no fragments, and no bytes after the last box.', {
    fragments: field('Whether fragments are allowed.', z.boolean().default(false)),
    maxTrailingBytes: field('Most bytes after the last box.', count.default(0)),
  }),
  'codec-level': requirement('Profile and level are declared, and the same in container and bitstream.', {
    profiles: field('Accepted profiles, as the codec names them: `High 4:2:2`.', oneOrMore(z.string())),
    levels: field('Accepted levels, as the codec writes them, in quotes: "4.1".', oneOrMore(z.string())),
  }),
  'chroma-siting': requirement('The file declares its chroma siting (ITU-T H.273); for 4:2:0 only.', {
    is: field(
      'Accepted sitings: `left` is usual, `topleft` in BT.2020 and BT.2100.',
      oneOrMore(z.enum(['left', 'center', 'topleft', 'top', 'bottomleft', 'bottom'])),
    ),
  }),
  'clean-aperture': requirement(
    'Displayed part of the raster: the clean aperture where MOV or MP4 declares one, otherwise the ' +
      'whole raster.',
    {
      width: field('Displayed width, in pixels.', z.number().positive()),
      height: field('Displayed height, in lines.', z.number().positive()),
    },
  ),
  'display-aspect': requirement('Shape of the whole picture as shown: raster times sample aspect.', {
    is: field('Width to height, as a rational: `16/9`.', rationalText),
    tolerance: field('Largest difference as a fraction of `is`.', fraction.default(0)),
  }),
  'rate-layers': requirement(
    'The bitstream declares the frame rate of the container. Where it declares only a clock ' +
      'and no fixed rate, another rate is a warning.',
    { proof },
  ),
  'raster-layers': requirement(
    'Container and bitstream declare the same raster; the container may pad it to whole macroblocks ' +
      '(EBU QC 0070W).',
    { proof },
  ),
  'aspect-layers': requirement('Container and bitstream declare the same sample aspect.', { proof }),
  'scan-layers': requirement('Container and bitstream declare the same scan.', {
    proof,
    segmented: field(
      'Whether progressive frames may be coded as two fields (PsF); the outcome is then a warning, for a person to check.',
      z.boolean().default(false),
    ),
  }),
  'hdr-layers': requirement('Container and bitstream declare the same mastering display and light level.', {
    proof,
  }),
  duration: requirement(
    'The picture is as long as its track declares or, where the container declares no length by track, ' +
      'as long as the container declares.',
    {
      seconds: field(
        'Length the picture must have, seconds, within `maxFrames`; in a file without picture, of its longest sound, ' +
          'within 0.1 s. Default: any.',
        z.number().positive().optional(),
      ),
      maxFrames: field(
        "Largest difference in frames. Less than one is the rounding of a container's clock.",
        z.number().nonnegative().default(0.5),
      ),
    },
  ),
  timestamps: requirement('No gap, repeat or step back in the time stamps of the picture.', {}),
  'edit-list': requirement('Picture and sound begin together when edit lists are applied.', {
    maxSamples: field(
      'Largest difference, in samples of the sound; 1024 is one frame of AAC.',
      z.number().nonnegative().default(1024),
    ),
    simple: field(
      'Whether each track may have at most one edit, at normal speed, without hidden frames.',
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
        'Whether all groups must have the same length; the last may be shorter.',
        z.boolean().default(false),
      ),
      closed: field('Whether pictures must not refer to the previous group.', z.boolean().default(false)),
      intraOnly: field('Whether all frames must be intra pictures.', z.boolean().default(false)),
    },
  ),
  'bit-rate': requirement(
    'The bit rate of the picture alone is within these limits; at least one must be set.',
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
