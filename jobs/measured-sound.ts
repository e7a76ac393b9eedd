import { z } from 'zod';

const count = z.number().int().nonnegative();
const decibels = z.number().nullable();

/** Levels the quiet is looked for at, dBFS of the sample magnitude. */
export const QUIET_DBFS = [-40, -50, -60, -70, -80] as const;
/** The same with digital silence, every sample zero. */
export const QUIET_LEVELS = [...QUIET_DBFS, null] as const;
/** Correlations a pair is looked for below. */
export const PHASE_LEVELS = [0, -0.3, -0.5, -0.7, -0.9] as const;
/** Runs are kept from this length on. */
export const SHORTEST_QUIET_SECONDS = 0.1;
/** Of each kind the longest runs are kept, so that any limit on their length can still be judged. */
export const MOST_RUNS = 50;
/** Places of clipping are kept from the start of the stream on. */
export const MOST_CLIP_PLACES = 100;
/** Complete cancellation, and the lowest level that is told apart from nothing: the range of 24 bits, dB. */
export const DECIBEL_LIMIT = 144;

/** Samples per channel from the start of the stream, half open. */
const sampleRange = { from: count, to: count };

export const quietRuns = z.object({
  /** Every sample of a run is at or below this magnitude, dBFS; null: is zero. */
  below: z.number().nullable(),
  /** All runs of 100 ms and more. */
  count,
  /** The 50 longest, in order of time, each with its highest sample; null when all are zero. */
  longest: z.array(z.object({ ...sampleRange, peakDbfs: decibels })),
});
export type QuietRuns = z.infer<typeof quietRuns>;

export const clipping = z.object({
  /** Runs of three and more samples in a row at the same end of the scale. */
  runs: count,
  samples: count,
  /** Samples in the longest run. */
  longest: count,
  /** Runs less than a second apart are one place. The first 100. */
  places: z.array(z.object({ ...sampleRange, runs: count })),
});
export type Clipping = z.infer<typeof clipping>;

/** A steady 1 kHz sine of a second and more in the first two minutes, the longest there is, on a grid of 10 ms. */
export const lineUpTone = z.object({
  ...sampleRange,
  /** Of its amplitude: a sine that reaches full scale is 0 dBFS. */
  levelDbfs: z.number(),
});
export type LineUpTone = z.infer<typeof lineUpTone>;

export const soundChannel = z.object({
  /** Loudspeaker (`FL`), null where the layout is unknown. */
  speaker: z.string().nullable(),
  /** Null when every sample is zero. */
  truePeakDbtp: decibels,
  samplePeakDbfs: decibels,
  /** Root mean square over the whole stream, dB below that of a full-scale square wave. */
  rmsDbfs: decibels,
  /** Mean of all samples as a fraction of full scale, with its sign; null without samples. */
  dcOffset: z.number().nullable(),
  /**
   * Bits from the sign down to the lowest that is ever set: 16 for 16-bit sound in 24 bits. An upper bound: once the level
   * was changed, all bits are in use. Null for silence, and for coding that stores no whole-number samples.
   */
  usedBits: z.number().int().positive().nullable(),
  clipping,
  /** One entry for each of QUIET_LEVELS. */
  quiet: z.array(quietRuns),
  tone: lineUpTone.nullable(),
});
export type SoundChannel = z.infer<typeof soundChannel>;

/** The loudness a coded stream states of itself, from the header of every frame. */
export const codedLoudness = z.object({
  /** The field it stands in: `dialnorm` of AC-3 and E-AC-3 (ATSC A/52), the level of dialogue. */
  kind: z.literal('dialnorm'),
  /** Every level that occurs, -31 to -1 dB, lowest last, with its frames. */
  levels: z.array(z.object({ level: z.number().int().min(-31).max(-1), frames: count })),
  /** Frames with the code 0, which A/52 reserves: they state no level. */
  reservedFrames: count,
});
export type CodedLoudness = z.infer<typeof codedLoudness>;

/** A left and a right loudspeaker of one stream. */
export const channelPair = z.object({
  left: count,
  right: count,
  /** Over the whole stream, -1 to 1; null when one of them is silent. */
  correlation: z.number().nullable(),
  /** Lowest correlation of any 400 ms in which both are above -60 dBFS RMS. */
  lowest: z.object({ correlation: z.number(), ...sampleRange }).nullable(),
  /** What (L+R)/2 loses against the mean power of the two, dB: 0 for the same in both, 3 for unrelated; at most 144, nothing left. */
  foldDownLossDb: decibels,
  /** Power of L-R against that of L+R, dB within +-144; null for silence. */
  sideToMidDb: decibels,
  /**
   * Runs of 400 ms windows, moved on by 100 ms, whose correlation is below the level: one entry for each of PHASE_LEVELS. Windows too
   * quiet to tell do not end a run for one second. A run reaches from the start of its first window to the end of its last.
   */
  outOfPhase: z.array(z.object({ below: z.number(), count, longest: z.array(z.object(sampleRange)) })),
});
export type ChannelPair = z.infer<typeof channelPair>;

/** What the samples of one stream show besides loudness. */
export const soundContent = z.object({
  channels: z.array(soundChannel),
  /** Runs in which all channels are quiet together: one entry for each of QUIET_LEVELS. */
  quiet: z.array(quietRuns),
  /** Null when the layout does not say which channels belong together. */
  pairs: z.array(channelPair).nullable(),
  /** Channels that are the same to the last bit and not silent, two by two. */
  identical: z.array(z.object({ first: count, second: count })),
});
export type SoundContent = z.infer<typeof soundContent>;
