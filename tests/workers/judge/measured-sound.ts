import {
  type ChannelPair,
  PHASE_LEVELS,
  QUIET_LEVELS,
  type QuietRuns,
  type SoundChannel,
  type SoundContent,
} from '../../../jobs/measurement/measured-sound.js';

/** Runs of samples at one level, in seconds of 48 kHz; the other levels hold none. */
export function quietAt(
  below: number | null,
  ...seconds: readonly (readonly [number, number])[]
): QuietRuns[] {
  return QUIET_LEVELS.map((level) => {
    const longest =
      level === below
        ? seconds.map(([from, to]) => ({
            from: Math.round(from * 48_000),
            to: Math.round(to * 48_000),
            peakDbfs: below,
          }))
        : [];
    return { below: level, count: longest.length, longest };
  });
}

export const CHANNEL: SoundChannel = {
  speaker: 'FL',
  truePeakDbtp: -3,
  samplePeakDbfs: -3.2,
  rmsDbfs: -26,
  dcOffset: 0.0001,
  usedBits: 24,
  clipping: { runs: 0, samples: 0, longest: 0, places: [] },
  quiet: quietAt(null),
  tone: null,
};

export const PAIR: ChannelPair = {
  left: 0,
  right: 1,
  correlation: 0.6,
  lowest: { correlation: -0.2, from: 48_000, to: 67_200 },
  foldDownLossDb: 0.97,
  sideToMidDb: -6,
  outOfPhase: PHASE_LEVELS.map((below) => ({ below, count: 0, longest: [] })),
};

/** A faultless stereo stream. */
export const CONTENT: SoundContent = {
  channels: [CHANNEL, { ...CHANNEL, speaker: 'FR', dcOffset: -0.0002 }],
  quiet: quietAt(null),
  pairs: [PAIR],
  identical: [],
};

/** The same with both channels changed alike. */
export function bothChannels(change: Partial<SoundChannel>): SoundContent {
  return { ...CONTENT, channels: CONTENT.channels.map((channel) => ({ ...channel, ...change })) };
}

/** The same with the second channel changed. */
export function rightChannel(change: Partial<SoundChannel>): SoundContent {
  const [left = CHANNEL, right = CHANNEL] = CONTENT.channels;
  return { ...CONTENT, channels: [left, { ...right, ...change }] };
}

/** The pair out of phase below one level, in seconds. */
export function outOfPhase(level: number, ...seconds: readonly (readonly [number, number])[]): SoundContent {
  const longest = seconds.map(([from, to]) => ({ from: from * 48_000, to: to * 48_000 }));
  const levels = PHASE_LEVELS.map((below) =>
    below === level ? { below, count: longest.length, longest } : { below, count: 0, longest: [] },
  );
  return { ...CONTENT, pairs: [{ ...PAIR, outOfPhase: levels }] };
}
