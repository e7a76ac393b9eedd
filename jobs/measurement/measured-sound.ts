import { z } from 'zod';
import { field } from '../documents/field.js';

const count = z.number().int().nonnegative();
const decibels = z.number().nullable();

/** Levels at which quiet runs are detected, dBFS of the sample magnitude. */
export const QUIET_DBFS = [-40, -50, -60, -70, -80] as const;
/** The same with digital silence, every sample zero. */
export const QUIET_LEVELS = [...QUIET_DBFS, null] as const;
/** Correlations below which a pair counts as out of phase. */
export const PHASE_LEVELS = [0, -0.3, -0.5, -0.7, -0.9] as const;
/** Shorter runs are not counted. */
export const SHORTEST_QUIET_SECONDS = 0.1;
/** How many of the longest runs of each kind are listed, so that any limit on their length can be judged. */
export const MOST_RUNS = 50;
/** How many places of clipping are listed, from the start of the stream. */
export const MOST_CLIP_PLACES = 100;
/** Figure for complete cancellation, and the lowest level that is not silence: the range of 24 bits, dB. */
export const DECIBEL_LIMIT = 144;

/** Samples per channel. */
const sampleRange = {
  from: field('First sample in it, from the start of the stream.', count),
  to: field('First sample after it.', count),
};

export const quietRuns = z.object({
  below: field(
    'Every sample of a run is at or below this magnitude, dBFS; null: is zero.',
    z.number().nullable(),
  ),
  count: field('All runs of 100 ms or more.', count),
  longest: field(
    'The 50 longest, in order of time.',
    z.array(
      z.object({
        ...sampleRange,
        peakDbfs: field('Its highest sample, dBFS; null when all are zero.', decibels),
      }),
    ),
  ),
});
export type QuietRuns = z.infer<typeof quietRuns>;

export const clipping = z.object({
  runs: field('Runs of three or more samples in a row at the same end of the scale.', count),
  samples: field('Samples in all of them.', count),
  longest: field('Samples in the longest run.', count),
  places: field(
    'Where they are: runs less than a second apart are one place. The first 100.',
    z.array(z.object({ ...sampleRange, runs: field('Runs in this place.', count) })),
  ),
});
export type Clipping = z.infer<typeof clipping>;

/**
 * The longest steady 1 kHz sine of a second or more in the first two minutes, on a grid of 10 ms.
 */
export const lineUpTone = z.object({
  ...sampleRange,
  levelDbfs: field('Level of its amplitude: a sine that reaches full scale is 0 dBFS.', z.number()),
});
export type LineUpTone = z.infer<typeof lineUpTone>;

export const soundChannel = z.object({
  speaker: field('Loudspeaker (`FL`); null where the layout is unknown.', z.string().nullable()),
  truePeakDbtp: field('True peak, dBTP; null when every sample is zero.', decibels),
  samplePeakDbfs: field('Highest sample, dBFS; null when every sample is zero.', decibels),
  rmsDbfs: field(
    'Root mean square over the whole stream, dB below that of a full-scale square wave; null when ' +
      'every sample is zero.',
    decibels,
  ),
  dcOffset: field(
    'Mean of all samples as a fraction of full scale, with its sign; null without samples.',
    z.number().nullable(),
  ),
  usedBits: field(
    'Bits from the sign down to the lowest bit ever set: 16 for 16-bit sound in 24 bits. An ' +
      'upper bound: after a change of level all bits are in use. Null for silence, and for codecs ' +
      'that store no integer samples.',
    z.number().int().positive().nullable(),
  ),
  clipping: field('Full-scale samples in a row.', clipping),
  quiet: field(
    `Quiet runs, one entry for each level: ${QUIET_DBFS.join(', ')} dBFS, and digital silence.`,
    z.array(quietRuns),
  ),
  tone: field('The line-up tone; null where there is none.', lineUpTone.nullable()),
});
export type SoundChannel = z.infer<typeof soundChannel>;

/** The loudness a coded stream declares, from the header of every frame. */
export const codedLoudness = z.object({
  kind: field(
    'The field it is read from: `dialnorm` of AC-3 and E-AC-3 (ATSC A/52), the level of dialogue.',
    z.literal('dialnorm'),
  ),
  levels: field(
    'Every level that occurs, lowest last.',
    z.array(
      z.object({
        level: field('Level, -31 to -1 dB.', z.number().int().min(-31).max(-1)),
        frames: field('Frames that declare it.', count),
      }),
    ),
  ),
  reservedFrames: field('Frames with the code 0, which A/52 reserves: they declare no level.', count),
});
export type CodedLoudness = z.infer<typeof codedLoudness>;

/** A left and a right loudspeaker of one stream. */
export const channelPair = z.object({
  left: field('Index of the left channel, from 0.', count),
  right: field('Index of the right channel, from 0.', count),
  correlation: field(
    'Correlation over the whole stream, -1 to 1; null when one of them is silent.',
    z.number().nullable(),
  ),
  lowest: field(
    'Lowest correlation of any 400 ms in which both are above -60 dBFS RMS; null where there are none.',
    z.object({ correlation: field('Correlation, -1 to 1.', z.number()), ...sampleRange }).nullable(),
  ),
  foldDownLossDb: field(
    'Loss of (L+R)/2 relative to the mean power of the two, dB: 0 for identical, 3 for unrelated ' +
      'channels; 144 where nothing is left. Null for silence.',
    decibels,
  ),
  sideToMidDb: field('Power of L-R relative to that of L+R, dB within +-144; null for silence.', decibels),
  outOfPhase: field(
    'Runs of 400 ms windows, every 100 ms, whose correlation is below the level: one entry for each of ' +
      `${PHASE_LEVELS.join(', ')}.`,
    z.array(
      z.object({
        below: field('Correlation the windows are below.', z.number()),
        count: field('All runs. Windows too quiet to tell do not end a run for one second.', count),
        longest: field(
          'The 50 longest, in order of time, each from the start of its first window to the end of its last.',
          z.array(z.object(sampleRange)),
        ),
      }),
    ),
  ),
});
export type ChannelPair = z.infer<typeof channelPair>;

/** What the samples of one stream show besides loudness. */
export const soundContent = z.object({
  channels: field('Figures of each channel, in the order of the stream.', z.array(soundChannel)),
  quiet: field(
    'Runs in which all channels are quiet together, one entry for each level: ' +
      `${QUIET_DBFS.join(', ')} dBFS, and digital silence.`,
    z.array(quietRuns),
  ),
  pairs: field(
    'Left and right channels compared; null where the layout does not define which channels ' +
      'belong together.',
    z.array(channelPair).nullable(),
  ),
  identical: field(
    'Pairs of channels that are identical to the last bit and not silent.',
    z.array(
      z.object({
        first: field('Index of the first channel, from 0.', count),
        second: field('Index of the second channel, from 0.', count),
      }),
    ),
  ),
});
export type SoundContent = z.infer<typeof soundContent>;
