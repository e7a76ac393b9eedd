import { count, fixed } from '../../../jobs/words/numbers.js';
import type { Channels } from './decoded-sound.js';

/** Sound is compared in windows of this length, s: far over the frame of a coder, short against a word. */
export const WINDOW_SECONDS = 0.1;
/** Mean square below which a difference of level is not looked at: -60 dBFS. */
const QUIET = 1e-6;
/** A level further off than this stands out, as a ratio of power: 6 dB (chosen, no source). */
const OFF = 10 ** 0.6;
/** A coder's noise spreads beside what is loud by less, as a ratio of power: -20 dB (chosen, no source). */
const SPREAD = 0.01;
/** Samples whose mean is a sample of the low band. */
const LOW_BAND = 8;
/**
 * A copy below this is silent: -80 dBFS (chosen, no source). Beside a silent window one is too that lies by
 * so much below its original, 40 dB: a coder's noise spreads into it. Any other holds a sound, however quiet.
 */
const SILENT = 1e-8;
const MUTED = 1e-4;
/**
 * Parts of a window in which a hole is looked for, 20 ms: shorter than the frame of most coders, so that one
 * part alone proves nothing, and so many on end do.
 */
const PARTS = 5;
const HOLE_PARTS = 2;
/** Low tones are gone in a hole: below this share of the original's, -15 dB, where that has -50 dBFS. */
const GONE = 0.03;
const HEARD = 1e-5;
/** A sample of an exact copy is off by less than so many times what rounding may do (chosen, no source). */
const MOST_TIMES = 8;
/** Correlation of low tones of a coded copy (median), and what stands out in so many windows on end. */
const KEPT = 0.9;
const OTHER = 0.5;
const OTHER_WINDOWS = 3;

/** Mean squares and products of a window of one channel, full scale 1. */
export interface Window {
  readonly original: number;
  readonly copy: number;
  /** Of original minus copy; and the largest of it, squared. */
  readonly difference: number;
  readonly most: number;
  /** Of each part of it whether low tones that the original has there are gone. */
  readonly gone: readonly boolean[];
  /** Mean square of the copy's low tones to that of the original's; null as below. */
  readonly lowLevel: number | null;
  /** Correlation of the low tones; null where either has next to none. */
  readonly low: number | null;
}

/** A window that tells nothing. */
export const NOT_COMPARED: Window = {
  ...{ original: 0, copy: 0, difference: 0, most: 0, gone: [], lowLevel: null, low: null },
};

/** Windows of a channel, and how its copy is expected to lie to it. */
export interface ChannelWindows {
  readonly windows: readonly Window[];
  /** -1: the polarity is opposite throughout, which is said elsewhere. */
  readonly sign: 1 | -1;
  /** Whether all of it has one level against the original; otherwise that of the original is expected. */
  readonly fits: boolean;
}

/** Windows, half open, that are not those of the original. */
export interface Place {
  readonly from: number;
  readonly to: number;
  /** The original is heard there, and the copy is silent. */
  readonly isMuted: boolean;
}

/** Cuts a piece into whole windows, channel by channel. Pure. */
export function measureWindows(original: Channels, copy: Channels, length: number): Window[][] {
  return original.map((had, channel) => {
    const is = copy[channel] ?? new Float32Array(had.length);
    return Array.from({ length: Math.floor(had.length / length) }, (_, index) =>
      measureWindow(had.subarray(index * length, (index + 1) * length), is.subarray(index * length)),
    );
  });
}

function measureWindow(original: Float32Array, copy: Float32Array): Window {
  let [o, c, d, most] = [0, 0, 0, 0];
  let [lowO, lowC, lowX] = [0, 0, 0];
  let [meanO, meanC] = [0, 0];
  const [partsO, partsC] = [new Float64Array(PARTS), new Float64Array(PARTS)];
  for (let i = 0; i < original.length; i++) {
    const [a, b] = [original[i] ?? 0, copy[i] ?? 0];
    o += a * a;
    c += b * b;
    const off = (a - b) ** 2;
    d += off;
    if (off > most) most = off;
    meanO += a;
    meanC += b;
    if (i % LOW_BAND !== LOW_BAND - 1) continue;
    lowO += meanO * meanO;
    lowC += meanC * meanC;
    lowX += meanO * meanC;
    const part = Math.min(PARTS - 1, Math.floor((i * PARTS) / original.length));
    partsO[part] = (partsO[part] ?? 0) + meanO * meanO;
    partsC[part] = (partsC[part] ?? 0) + meanC * meanC;
    [meanO, meanC] = [0, 0];
  }
  const n = original.length;
  // Sums of eight samples: their mean square as means is 1/64 of it, over an eighth of the samples.
  const least = Math.min(lowO, lowC) / (LOW_BAND * n);
  const isHeard = least > QUIET && least > SPREAD * (Math.max(o, c) / n);
  return {
    ...{ original: o / n, copy: c / n, difference: d / n, most },
    gone: Array.from(partsO, (had, part) => {
      // As `least` of one part.
      const heard = (had * PARTS) / (LOW_BAND * n);
      return heard > HEARD && heard > SPREAD * (o / n) && (partsC[part] ?? 0) < GONE * had;
    }),
    lowLevel: isHeard ? lowC / lowO : null,
    low: isHeard ? lowX / Math.sqrt(lowO * lowC) : null,
  };
}

/**
 * Level of a copy against its original, dB: the median of its windows, so that a gap does not count, by their
 * low tones where they have some, since a coder drops high ones.
 */
export function levelOf(windows: readonly Window[]): number | null {
  const low = windows.flatMap(({ lowLevel }) => (lowLevel === null ? [] : [lowLevel]));
  const heard = windows.filter(({ original }) => original > QUIET);
  const ratios = 2 * low.length > heard.length ? low : heard.map((each) => each.copy / each.original);
  const middle = median(ratios);
  return middle === null || middle === 0 ? null : 10 * Math.log10(middle);
}

/**
 * Places where the sound of a copy is not that of its original. Where samples came back but for rounding in
 * most windows they have to in all; otherwise level and low tones of each window are compared with the rest.
 *
 * @param rounding mean square of the difference that rounding may make; null: the coding is lossy
 * @param end window in which the copy ends: from there on it is missing, not muted
 */
export function findDifferent(
  channels: readonly ChannelWindows[],
  { rounding, end }: { readonly rounding: number | null; readonly end: number },
): readonly Place[] {
  /** Of each window that differs whether it does by being muted, on all its channels that differ. */
  const different = new Map<number, boolean>();
  const loudest = loudestOf(channels);
  for (const channel of channels) {
    for (const index of differentIn(channel, loudest, rounding)) {
      const isMuted = index < end && isSilenced(channel.windows, index);
      different.set(index, isMuted && different.get(index) !== false);
    }
  }
  const places: { from: number; to: number; isMuted: boolean }[] = [];
  for (const [index, isMuted] of [...different].sort(([a], [b]) => a - b)) {
    const last = places.at(-1);
    if (last?.to === index && last.isMuted === isMuted) last.to = index + 1;
    else places.push({ from: index, to: index + 1, isMuted });
  }
  return places;
}

/** Whether a window of the copy is silent where the original is heard. */
function isSilenced(windows: readonly Window[], index: number): boolean {
  const { original, copy } = windows[index] ?? NOT_COMPARED;
  if (original <= QUIET) return false;
  if (copy < SILENT) return true;
  const isSilent = (beside: Window | undefined): boolean =>
    beside !== undefined && beside.original > QUIET && beside.copy < SILENT;
  return copy < MUTED * original && [windows[index - 1], windows[index + 1]].some(isSilent);
}

/** How loud each window is in its loudest channel. */
function loudestOf(channels: readonly ChannelWindows[]): readonly number[] {
  const [first] = channels;
  return (first?.windows ?? []).map((_, index) =>
    channels.reduce((most, { windows }) => {
      const { original, copy } = windows[index] ?? NOT_COMPARED;
      return Math.max(most, original, copy);
    }, 0),
  );
}

function differentIn(
  { windows, sign, fits }: ChannelWindows,
  loudest: readonly number[],
  rounding: number | null,
): number[] {
  const isExact = rounding !== null && (median(windows.map(({ difference }) => difference)) ?? 0) <= rounding;
  if (isExact) {
    // A click is one sample: it is nothing in the mean of a window.
    const isOff = ({ difference, most }: Window) =>
      difference > rounding || most > MOST_TIMES ** 2 * rounding;
    return indexesOf(windows, isOff);
  }
  const level = fits ? 10 ** ((levelOf(windows) ?? 0) / 10) : 1;
  const levels = indexesOf(windows, ({ original, copy }, index) => {
    // Noise of a coder spreads into the windows beside, and from one channel into those coded with it.
    const around = loudest.slice(Math.max(0, index - 1), index + 2);
    const own = Math.max(original, copy / level);
    return (
      own > Math.max(QUIET, SPREAD * Math.max(...around)) && own > OFF * Math.min(original, copy / level)
    );
  });
  return [...levels, ...otherSound(windows, sign), ...holes(windows, sign)];
}

/** Windows with a hole shorter than themselves, in sound that otherwise kept its low tones. */
function holes(windows: readonly Window[], sign: 1 | -1): number[] {
  if (!keepsLowTones(windows, sign)) return [];
  const found: number[] = [];
  let run: number[] = [];
  for (const [index, { gone }] of [...windows, NOT_COMPARED].entries()) {
    for (const is of gone.length === 0 ? [false] : gone) {
      if (is) run.push(index);
      else {
        if (run.length >= HOLE_PARTS) found.push(...run);
        run = [];
      }
    }
  }
  return found;
}

function keepsLowTones(windows: readonly Window[], sign: 1 | -1): boolean {
  const kept = median(windows.flatMap(({ low }) => (low === null ? [] : [low * sign])));
  return kept !== null && kept >= KEPT;
}

/** Windows of a run in which the low tones are others, in sound that otherwise kept them. */
function otherSound(windows: readonly Window[], sign: 1 | -1): number[] {
  if (!keepsLowTones(windows, sign)) return [];
  const other = windows.map(({ low }) => low !== null && low * sign < OTHER);
  const found: number[] = [];
  let run: number[] = [];
  for (const [index, is] of [...other, false].entries()) {
    if (is) run.push(index);
    else {
      if (run.length >= OTHER_WINDOWS) found.push(...run);
      run = [];
    }
  }
  return found;
}

function indexesOf(windows: readonly Window[], is: (window: Window, index: number) => boolean): number[] {
  return windows.flatMap((window, index) => (is(window, index) ? [index] : []));
}

function median(values: readonly number[]): number | null {
  return [...values].sort((a, b) => a - b)[Math.floor((values.length - 1) / 2)] ?? null;
}

/** Most places that are written out. */
const MOST_PLACES = 5;

/** `sound differs from 1.500 to 1.900 s`, `silent from ...`, counted from the start of the original. */
export function placesWords(places: readonly Place[]): string {
  const at = (window: number): string => fixed(window * WINDOW_SECONDS, 3);
  const written = places.slice(0, MOST_PLACES).map(({ from, to }) => `from ${at(from)} to ${at(to)} s`);
  const more = places.length - written.length;
  const what = places.every(({ isMuted }) => isMuted) ? 'silent' : 'sound differs';
  return `${what} ${written.join(', ')}${more > 0 ? ` and in ${count(more, 'more place')}` : ''}`;
}
