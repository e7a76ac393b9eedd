import { z } from 'zod';
import { field } from '../documents/field.js';

const count = z.number().int().nonnegative();

/** Mistakes that leave a trace of their own in the samples, in the order in which they are looked for. */
export const PICTURE_MISTAKES = [
  'mirrored',
  'frame-offset',
  'swapped-fields',
  'channels-exchanged',
  'wrong-range',
  'wrong-matrix',
  'cropped',
  'shifted',
  'chroma-shift',
  'level-shift',
  'gamma-shift',
  'clipped-highlight',
  'look',
] as const;
export type PictureMistake = (typeof PICTURE_MISTAKES)[number];

export const SOUND_MISTAKES = ['offset', 'level', 'polarity', 'channels-exchanged', 'other-sound'] as const;
export type SoundMistake = (typeof SOUND_MISTAKES)[number];

export const planeError = z.object({
  plane: field("The plane: Y', Cb, Cr, or R', G', B'.", z.enum(['Y', 'Cb', 'Cr', 'R', 'G', 'B'])),
  bitsKept: field(
    "Bits kept of the original's, from the RMS error (effective number of bits, IEEE Std 1241).",
    z.number().nonnegative(),
  ),
  meanError: field("Mean of copy minus original, codes of the original's depth.", z.number()),
  rmsError: field("RMS of copy minus original, codes of the original's depth.", z.number().nonnegative()),
  maxError: field("Largest difference of a sample, codes of the original's depth.", z.number().nonnegative()),
  worstFrame: field('Of the frames compared the one with the largest RMS error.', count),
  correlation: field(
    'Correlation of the samples of both, -1 to 1; null where one of them has a single level.',
    z.number().min(-1).max(1).nullable(),
  ),
});
export type PlaneError = z.infer<typeof planeError>;

export const pictureComparison = z.object({
  original: field('Path of the original.', z.string()),
  made: field(
    '`planned`: the original went through the steps by which the plan made the copy. `alike`: those are not known; size, ' +
      'sampling, matrix and range of the original were made those of the copy.',
    z.enum(['planned', 'alike']),
  ),
  frames: field('Frames compared, by their numbers from 0.', z.array(count).min(1)),
  depth: field('Bits of a sample of the original.', z.number().int().positive()),
  bitsKept: field('Bits kept of these, in the plane that keeps fewest.', z.number().nonnegative()),
  planes: field('The error of each plane.', z.array(planeError).min(1)),
  mistake: field(
    'The mistake that explains the difference: without it at most a quarter of the squared error would be left. Null where ' +
      'none does, as in a copy that only lost detail.',
    z
      .object({
        name: field('Name of the mistake.', z.enum(PICTURE_MISTAKES)),
        detail: field('What was found, in words.', z.string()),
        left: field('Share of the squared error that it does not explain.', z.number().min(0).max(1)),
      })
      .nullable(),
  ),
});
export type PictureComparison = z.infer<typeof pictureComparison>;
