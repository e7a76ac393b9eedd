import { z } from 'zod';
import { field } from '../documents/field.js';
import { frameRange } from './frame-range.js';

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
  'other-picture',
] as const;
export type PictureMistake = (typeof PICTURE_MISTAKES)[number];

export const SOUND_MISTAKES = [
  'missing',
  'offset',
  'level',
  'polarity',
  'channels-exchanged',
  'muted',
  'other-sound',
] as const;
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

export const otherFrames = frameRange.extend({
  shows: field(
    'The frame of the original that the first of them shows, the others those after it; null where it is none that was ' +
      'looked at.',
    count.nullable(),
  ),
});
export type OtherFrames = z.infer<typeof otherFrames>;

/** Most places that a measurement lists. */
export const MOST_FRAME_PLACES = 1000;

/** Every frame of a copy against the original's, by signatures of both. */
export const frameOrder = z.object({
  original: field('Path of the original.', z.string()),
  frames: field('Frames compared, all that both have.', count),
  expected: field(
    'Frames the copy has to have; null where frames were repeated or left out to even the rate.',
    count.nullable(),
  ),
  apart: field(
    'Frames of another picture than the original has there: lost, repeated, swapped or replaced ones; at most 1,000 places, ' +
      'with their timecode in the original.',
    z.array(otherFrames).max(MOST_FRAME_PLACES),
  ),
  doubtful: field(
    'Frames far less like the original than those around them: a part of another picture, or coding.',
    z.array(frameRange).max(MOST_FRAME_PLACES),
  ),
  alike: field(
    'Frames so like the one before or after them in the original that it cannot be told which of them is shown.',
    count,
  ),
  difference: field(
    'Usual RMS difference of a frame to its original, means of R′G′B′ in fields of the picture, 1 is black to white.',
    z.number().nonnegative(),
  ),
});
export type FrameOrder = z.infer<typeof frameOrder>;

export const soundComparison = z.object({
  stream: field('Number of the sound stream in the copy, from 0.', count),
  side: field(
    'Of a stereo stream that two mono tracks became: which of its channels; null: all of them.',
    z.enum(['left', 'right']).nullable().default(null),
  ),
  of: field('Number of the sound stream in the original, from 0.', count),
  channels: field('Channels of the original and of the copy.', z.tuple([count, count])),
  offsetSamples: field(
    "Samples at the original's rate by which the copy is late, negative where it is early; null where it cannot be told.",
    z.number().int().nullable(),
  ),
  gainDb: field(
    'Level of the copy against the original in the channel where they differ most, dB; null where it cannot be told.',
    z.number().nullable(),
  ),
  sampleRate: field('Sample rate of the original, Hz.', z.number().int().positive()),
  mistakes: field(
    'What is wrong with it; empty where nothing is.',
    z.array(
      z.object({
        name: field('Name of the mistake.', z.enum(SOUND_MISTAKES)),
        detail: field('What was found, in words.', z.string()),
      }),
    ),
  ),
  places: field(
    'Windows in which the sound is another or none, by time from the start of the original.',
    z.array(
      z.object({
        fromSeconds: field('Its start, s.', z.number().nonnegative()),
        toSeconds: field('Its end, s.', z.number().nonnegative()),
        fromTimecode: field(
          'Timecode of the frame it begins in, in the original; null where that has none.',
          z.string().nullable(),
        ),
      }),
    ),
  ),
});
export type SoundComparison = z.infer<typeof soundComparison>;
