import { isLossySound } from '../../../jobs/codecs/codec-traits.js';
import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { SoundComparison } from '../../../jobs/measurement/measured-comparison.js';
import { power } from './align.js';
import { type Channels, DecodedSound, LISTENED_SECONDS, type RawSound } from './decoded-sound.js';
import { isForeignSound } from './foreign-sound.js';
import { judgeStretch, REACH_SECONDS, SAME_SOUND, type Stretch } from './judge-stretch.js';
import {
  findDifferent,
  measureWindows,
  NOT_COMPARED,
  type Place,
  placesWords,
  WINDOW_SECONDS,
  type Window,
} from './windows.js';

/**
 * Sound is aligned by one stretch, the loudest of the first minute: a power of two of samples, and longer
 * than sound is looked for by a quarter, which then is in both.
 */
function stretchAt(rate: number): number {
  return 2 ** Math.ceil(Math.log2(1.25 * REACH_SECONDS * rate));
}

const ALIGNED_SECONDS = 60;

/** What was found of a stream, and what of it could not be compared. */
export interface HeardSound {
  readonly found: SoundComparison | null;
  readonly unknown: readonly string[];
}

/** Two decoded streams, with what their files declare. */
export interface SoundsToCompare {
  readonly stream: number;
  readonly of: number;
  readonly had: AudioFacts;
  readonly is: AudioFacts;
  readonly before: RawSound;
  readonly after: RawSound;
}

/**
 * Compares two decoded streams: offset, level, polarity, channels exchanged, and window by window whether it
 * is the same sound. Much arithmetic: for a thread.
 */
export async function compareDecoded(streams: SoundsToCompare): Promise<HeardSound> {
  const before = await DecodedSound.open(streams.before);
  try {
    const after = await DecodedSound.open(streams.after);
    try {
      return await compareOpened(streams, before, after);
    } finally {
      await after.close();
    }
  } finally {
    await before.close();
  }
}

async function compareOpened(
  streams: SoundsToCompare,
  before: DecodedSound,
  after: DecodedSound,
): Promise<HeardSound> {
  const { stream, of, had, is } = streams;
  const sampleRate = had.sampleRate;
  const isLonger = before.samples >= LISTENED_SECONDS * sampleRate;
  if (is.sampleRate === sampleRate && (await isIdentical(before, after))) return identical(streams, isLonger);
  const at = await loudest(before, sampleRate);
  const samples = stretchAt(sampleRate);
  const [original, copied] = [await before.read(at, samples), await after.read(at, samples)];
  const isForeign = (channel: number | null): Promise<boolean> =>
    isForeignSound(before, after, sampleRate, channel);
  const judged = judgeStretch(
    { stream, of, sampleRate, isResampled: is.sampleRate !== sampleRate },
    original,
    copied,
  );
  const stretch = judged === null ? null : await withOthers(judged, isForeign);
  if (stretch?.found.mistakes.some(({ name }) => name === 'channels-exchanged')) return stretch;
  if (stretch === null && (await isForeign(null))) {
    const detail = 'none of it is the sound of the original';
    return { found: { ...untold(streams), mistakes: [{ name: 'other-sound', detail }] }, unknown: [] };
  }
  if (before.channels !== after.channels) {
    const why = `${after.channels} channels, the original has ${before.channels}`;
    return { found: stretch?.found ?? null, unknown: [...(stretch?.unknown ?? []), why] };
  }
  const lags = stretch?.lags ?? Array.from({ length: before.channels }, () => 0);
  const windows = await windowsOf(before, after, lags, sampleRate);
  const end = Math.ceil((after.samples - Math.max(...lags)) / Math.round(WINDOW_SECONDS * sampleRate));
  return withWindows(streams, stretch, windows, { isLonger, end });
}

/** What a stretch could not tell of single channels, as a mistake where it is certain. */
async function withOthers(
  stretch: Stretch,
  isForeign: (channel: number) => Promise<boolean>,
): Promise<Stretch> {
  const mistakes = [...stretch.found.mistakes];
  const unknown = [...stretch.unknown];
  for (const channel of stretch.others) {
    const what = `channel ${channel + 1} is not the same sound as the original’s`;
    if (await isForeign(channel)) mistakes.push({ name: 'other-sound', detail: what });
    else unknown.push(what);
  }
  return { ...stretch, found: { ...stretch.found, mistakes }, unknown };
}

/** A comparison of which nothing is told. */
function untold({ stream, of, had, is }: Omit<SoundsToCompare, 'before' | 'after'>): SoundComparison {
  const { sampleRate } = had;
  return {
    ...{ stream, side: null, of, channels: [had.channels, is.channels], sampleRate, places: [] },
    ...{ offsetSamples: null, gainDb: null, mistakes: [] },
  };
}

/** Samples of each channel that are held against each other at once. */
const IDENTICAL_AT_ONCE = 2 ** 18;

/** Whether every sample of both is the same: a lossless copy, of which nothing else needs to be asked. */
async function isIdentical(before: DecodedSound, after: DecodedSound): Promise<boolean> {
  if (before.channels !== after.channels || before.samples !== after.samples) return false;
  for (let from = 0; from < before.samples; from += IDENTICAL_AT_ONCE) {
    const [had, is] = [
      await before.bytes(from, IDENTICAL_AT_ONCE),
      await after.bytes(from, IDENTICAL_AT_ONCE),
    ];
    if (!had.equals(is)) return false;
  }
  return true;
}

function identical(streams: SoundsToCompare, isLonger: boolean): HeardSound {
  return { found: { ...untold(streams), offsetSamples: 0, gainDb: 0 }, unknown: unheardOf(isLonger) };
}

function unheardOf(isLonger: boolean): string[] {
  return isLonger ? [`only its first ${LISTENED_SECONDS / 60} minutes are compared`] : [];
}

/** Where the loudest stretch of the first minute of the original begins. */
async function loudest(sound: DecodedSound, rate: number): Promise<number> {
  const samples = Math.min(sound.samples, ALIGNED_SECONDS * rate);
  const length = stretchAt(rate);
  let [best, most] = [0, 0];
  for (let from = 0; from === 0 || from + length <= samples; from += rate) {
    const squares = powerOf(await sound.read(from, length));
    if (squares > most) [best, most] = [from, squares];
  }
  return best;
}

function powerOf(channels: Channels): number {
  return channels.reduce((sum, channel) => sum + power(channel), 0);
}

/** Windows that are read at once: ten seconds. */
const AT_ONCE = 100;

/**
 * Windows of the original from its start, with the copy at the lag of each channel, to the end of the longer.
 * What an offset
 * pushes over an edge and windows in which either ends are left out (`NOT_COMPARED`).
 */
async function windowsOf(
  before: DecodedSound,
  after: DecodedSound,
  lags: readonly number[],
  rate: number,
): Promise<Window[][]> {
  const [earliest, lag] = [Math.min(...lags), Math.max(...lags)];
  const length = Math.round(WINDOW_SECONDS * rate);
  const ends = [before.samples, after.samples - lag, after.samples - earliest];
  // As long as the original and late: its last part was lost by that, and is said as the offset.
  const lost = lag > 0 && after.samples === before.samples ? lag : 0;
  const most = Math.max(...ends) - lost;
  // Where both end at one sample the last window is as long as what is left.
  const isEven = new Set(ends).size === 1 && most >= length;
  const count = Math.max(0, isEven ? Math.ceil(most / length) : Math.floor(most / length));
  const windows: Window[][] = Array.from({ length: before.channels }, () => []);
  for (let from = 0; from < count; from += AT_ONCE) {
    const samples = Math.min(AT_ONCE, count - from) * length;
    const measured = measureWindows(
      await before.read(from * length, samples),
      await readAt(after, from * length, samples, lags),
      length,
    );
    for (const [channel, some] of measured.entries()) windows[channel]?.push(...some);
  }
  const isEdge = (from: number): boolean =>
    from < -earliest || (!isEven && ends.some((end) => end > from && end < from + length));
  return windows.map((all) => all.map((each, index) => (isEdge(index * length) ? NOT_COMPARED : each)));
}

/** Each channel from its own place. */
async function readAt(
  sound: DecodedSound,
  from: number,
  samples: number,
  lags: readonly number[],
): Promise<Channels> {
  const read = new Map<number, Channels>();
  for (const lag of new Set(lags)) read.set(lag, await sound.read(from + lag, samples));
  return lags.map((lag, channel) => read.get(lag)?.[channel] ?? new Float32Array(samples));
}

/** What the windows tell beside the stretch. */
function withWindows(
  streams: SoundsToCompare,
  stretch: Stretch | null,
  windows: readonly Window[][],
  { isLonger, end }: { readonly isLonger: boolean; readonly end: number },
): HeardSound {
  const { had, is } = streams;
  const unheard = unheardOf(isLonger);
  const isKnown = stretch !== null && stretch.found.offsetSamples !== null;
  const isExact = ![had, is].some(({ codec }) => isLossySound(codec)) && is.sampleRate === had.sampleRate;
  const places = findDifferent(
    windows.map((all, channel) => {
      const own = stretch?.own[channel] ?? null;
      const fits = own !== null && Math.abs(own.correlation) >= SAME_SOUND;
      return {
        ...{ windows: isKnown ? all : all.map((each) => ({ ...each, low: null })), fits },
        sign: own !== null && own.correlation < 0 ? -1 : 1,
      };
    }),
    { rounding: isExact ? roundingOf(had, is) : null, end },
  );
  // Sound shorter than a window, or in which either ends, was not compared at all.
  const compared = windows.map((all) => all.filter((window) => window !== NOT_COMPARED));
  const isSame = compared.every((all) => all.length > 0 && all.every(({ difference }) => difference === 0));
  const told = isSame ? { offsetSamples: 0, gainDb: 0 } : {};
  const nothing: SoundComparison = { ...untold(streams), ...told };
  if (places.length > 0) {
    const found = stretch?.found ?? nothing;
    const mistakes = (['muted', 'other-sound'] as const).flatMap((name) => {
      const of = places.filter(({ isMuted }) => isMuted === (name === 'muted'));
      return of.length === 0 ? [] : [{ name, detail: placesWords(of) }];
    });
    return {
      found: { ...found, mistakes: [...found.mistakes, ...mistakes], places: placesOf(places) },
      unknown: [...(stretch?.unknown ?? []), ...unheard],
    };
  }
  if (stretch !== null) return { found: stretch.found, unknown: [...stretch.unknown, ...unheard] };
  if (isSame) return { found: nothing, unknown: unheard };
  if (compared.every((all) => all.length === 0)) {
    return {
      found: null,
      unknown: [`it is too short to be compared: less than ${WINDOW_SECONDS} s of both`],
    };
  }
  return { found: null, unknown: ['no channel of the copy is the same sound as the original’s'] };
}

/** Two steps of the coarser, squared: rounding with dither makes less. */
function roundingOf(had: AudioFacts, is: AudioFacts): number {
  return (2 * 2 ** (1 - Math.min(had.bitDepth ?? 24, is.bitDepth ?? 24, 24))) ** 2;
}

function placesOf(places: readonly Place[]): SoundComparison['places'] {
  const seconds = (window: number): number => Math.round(window * WINDOW_SECONDS * 1000) / 1000;
  return places.map(({ from, to }) => ({
    ...{ fromSeconds: seconds(from), toSeconds: seconds(to), fromTimecode: null },
  }));
}
