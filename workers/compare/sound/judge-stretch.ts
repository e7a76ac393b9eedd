import type { SoundComparison } from '../../../jobs/measurement/measured-comparison.js';
import { count, fixed } from '../../../jobs/words/numbers.js';
import { type Alignment, align } from './align.js';
import type { Channels } from './decoded-sound.js';
import { levelOf, measureWindows, WINDOW_SECONDS } from './windows.js';

/** The copy may be so much late or early to be found, s. */
export const REACH_SECONDS = 1;
/** Below this correlation two channels are not the same sound. */
export const SAME_SOUND = 0.5;
/** A channel that fits another's sound so much better was exchanged with it. */
const CLEARLY = 0.3;
/** Lossy coding changes a level by less, dB (chosen, no source). */
const LEVEL_DB = 1;
/** From here on it is a change of level where nothing but that was changed, dB (chosen, no source). */
const PLAIN_LEVEL_DB = 0.1;

/** How the channels of a stretch lie; the mistakes they show. */
export interface Stretch {
  readonly found: SoundComparison;
  readonly unknown: readonly string[];
  /** Lag to compare the windows of each channel at, where offset is unknown the likeliest. */
  readonly lags: readonly number[];
  /** Channels that are heard in both and not the same sound, where others are. */
  readonly others: readonly number[];
  readonly own: readonly (Alignment | null)[];
}

export interface StreamPair extends Pick<SoundComparison, 'stream' | 'of' | 'sampleRate'> {
  readonly isResampled: boolean;
}

/** What a stretch of both tells, channel by channel; null: no channel is the same sound. Pure. */
export function judgeStretch(
  { stream, of, sampleRate, isResampled }: StreamPair,
  original: Channels,
  copy: Channels,
): Stretch | null {
  const most = REACH_SECONDS * sampleRate;
  const own = copy.map((is, index) => {
    const had = original[index];
    return had === undefined ? null : align(had, is, most);
  });
  const exchanged = exchangedWith(own, (into, from) => {
    const [is, had] = [copy[into], original[from]];
    return is === undefined || had === undefined ? null : align(had, is, most);
  });
  const fitting = own
    .filter((found) => found !== null)
    .filter(({ correlation }) => Math.abs(correlation) >= SAME_SOUND);
  const channels: [number, number] = [original.length, copy.length];
  if (exchanged !== null) {
    return {
      found: {
        ...{ stream, side: null, of, channels, sampleRate },
        ...{ offsetSamples: null, gainDb: null, places: [] },
        mistakes: [{ name: 'channels-exchanged', detail: exchanged }],
      },
      ...{ unknown: [], lags: original.map(() => 0), others: [], own },
    };
  }
  const [first] = fitting;
  if (first === undefined) return null;
  const sure = fitting.filter(({ isOnly }) => isOnly);
  const isSame = isIdentical(original, copy);
  const anchor = mostFrequent(sure.map(({ lag }) => lag));
  const apart = anchor === null || isSame ? [] : lagsApart(own, anchor, original, copy, isResampled);
  // A steady tone fits itself every period; what lies beside it tells where it is.
  const offset = isSame ? 0 : apart === null ? null : anchor;
  const gainDb = isSame ? 0 : worstLevel(own, original, copy, offset ?? first.lag, sampleRate);
  const inverted = own.map(
    (each) => each !== null && each.correlation < 0 && (each.isOnly || each.lag === offset),
  );
  const mistakes = [
    ...offsetMistake(offset, sampleRate, isResampled),
    ...(apart ?? []).map(({ channel, lag }) => ({
      name: 'offset' as const,
      detail: `channel ${channel + 1} is ${offsetWords(lag - (anchor ?? 0), sampleRate)} beside the others`,
    })),
    ...(inverted.includes(true) && !isSame
      ? [{ name: 'polarity' as const, detail: polarityWords(inverted) }]
      : []),
    ...(Math.abs(gainDb) >= (isPlainLevel(gainDb, fitting) ? PLAIN_LEVEL_DB : LEVEL_DB)
      ? [
          {
            name: 'level' as const,
            detail: `${fixed(Math.abs(gainDb), 1)} dB ${gainDb < 0 ? 'lower' : 'louder'}`,
          },
        ]
      : []),
  ];
  return {
    found: {
      ...{ stream, side: null, of, channels, sampleRate },
      ...{ offsetSamples: offset, gainDb, mistakes, places: [] },
    },
    unknown: [...(offset === null ? ['its offset cannot be told: it fits at more than one place'] : [])],
    lags: own.map(
      (_, channel) => apart?.find((each) => each.channel === channel)?.lag ?? offset ?? first.lag,
    ),
    ...{ others: notTheSame(own), own },
  };
}

function notTheSame(own: readonly (Alignment | null)[]): number[] {
  return own.flatMap((each, index) =>
    each !== null && Math.abs(each.correlation) < SAME_SOUND ? [index] : [],
  );
}

/** Whether a change of level explains what differs: coding, which drops sound, leaves more of the error. */
function isPlainLevel(gainDb: number, fitting: readonly Alignment[]): boolean {
  const changed = (10 ** (gainDb / 20) - 1) ** 2;
  return fitting.every(({ correlation }) => 1 - correlation ** 2 <= MOST_LEFT * changed);
}

/** The lag of most channels, the first of equals. */
function mostFrequent(lags: readonly number[]): number | null {
  const times = (lag: number): number => lags.filter((each) => each === lag).length;
  return [...new Set(lags)].toSorted((a, b) => times(b) - times(a))[0] ?? null;
}

/**
 * Channels that surely lie elsewhere than the others; null where some may or may not. Of two lags one is sure
 * that leaves at most a quarter of the error of the other: low tones fit beside their place too.
 */
function lagsApart(
  own: readonly (Alignment | null)[],
  anchor: number,
  original: Channels,
  copy: Channels,
  isResampled: boolean,
): { readonly channel: number; readonly lag: number }[] | null {
  const apart: { channel: number; lag: number }[] = [];
  for (const [channel, each] of own.entries()) {
    if (each === null || !each.isOnly || Math.abs(each.correlation) < SAME_SOUND) continue;
    if (each.lag === anchor) continue;
    const [had, is] = [original[channel], copy[channel]];
    if (had === undefined || is === undefined) return null;
    const [here, there] = [each.lag, anchor].map((lag) => 1 - correlationAt(had, is, lag) ** 2);
    const isSure = (here ?? 1) <= MOST_LEFT * (there ?? 0);
    if (!isSure || Math.abs(each.lag - anchor) < (isResampled ? 2 : 1)) return null;
    apart.push({ channel, lag: each.lag });
  }
  return apart;
}

/** Share of the error of another lag that one may leave which explains it. */
const MOST_LEFT = 0.25;

/** Correlation of the samples both have at a lag. */
function correlationAt(original: Float32Array, copy: Float32Array, lag: number): number {
  let [a, b, product] = [0, 0, 0];
  for (let i = Math.max(0, -lag); i < Math.min(original.length, copy.length - lag); i++) {
    const [o, c] = [original[i] ?? 0, copy[i + lag] ?? 0];
    a += o * o;
    b += c * c;
    product += o * c;
  }
  return a === 0 || b === 0 ? 0 : product / Math.sqrt(a * b);
}

function isIdentical(original: Channels, copy: Channels): boolean {
  return (
    original.length === copy.length &&
    original.every((had, channel) => had.every((sample, i) => sample === copy[channel]?.[i]))
  );
}

/** Level of the channel that is furthest off, dB. */
function worstLevel(
  own: readonly (Alignment | null)[],
  original: Channels,
  copy: Channels,
  lag: number,
  rate: number,
): number {
  const length = Math.round(WINDOW_SECONDS * rate);
  // Both without the part that has no partner at this lag.
  const lying = (channels: Channels, by: number): Channels =>
    channels.map((channel) => channel.subarray(Math.max(0, by), channel.length + Math.min(0, by)));
  const windows = measureWindows(lying(original, -lag), lying(copy, lag), length);
  const levels = own.flatMap((each, index) =>
    each === null || Math.abs(each.correlation) < SAME_SOUND
      ? []
      : [levelOf(windows[index] ?? []) ?? 20 * Math.log10(each.gain)],
  );
  return levels.reduce((worst, level) => (Math.abs(level) > Math.abs(worst) ? level : worst), 0);
}

function offsetMistake(
  offset: number | null,
  rate: number,
  isResampled: boolean,
): SoundComparison['mistakes'] {
  // A resampler may move sound by a part of a sample.
  if (offset === null || Math.abs(offset) < (isResampled ? 2 : 1)) return [];
  return [{ name: 'offset', detail: offsetWords(offset, rate) }];
}

/** `5 samples late (0.10 ms)` */
function offsetWords(offset: number, rate: number): string {
  const milliseconds = fixed((1000 * Math.abs(offset)) / rate, 2);
  return `${count(Math.abs(offset), 'sample')} ${offset < 0 ? 'early' : 'late'} (${milliseconds} ms)`;
}

function polarityWords(inverted: readonly boolean[]): string {
  const numbers = inverted.flatMap((is, index) => (is ? [index + 1] : []));
  return `opposite polarity of channel${numbers.length > 1 ? 's' : ''} ${numbers.join(', ')}`;
}

/**
 * Which two channels changed places; null: none. A channel that fits its own cannot fit another clearly
 * better, and is not laid over it.
 */
function exchangedWith(
  own: readonly (Alignment | null)[],
  across: (copy: number, original: number) => Alignment | null,
): string | null {
  const likeness = (found: Alignment | null | undefined): number => Math.abs(found?.correlation ?? 0);
  for (let a = 0; a < own.length; a++) {
    for (let b = a + 1; b < own.length; b++) {
      const least = Math.max(SAME_SOUND, Math.max(likeness(own[a]), likeness(own[b])) + CLEARLY);
      if (least > 1) continue;
      if (likeness(across(a, b)) >= least && likeness(across(b, a)) >= least)
        return `channels ${a + 1} and ${b + 1} are exchanged`;
    }
  }
  return null;
}
