import { parseRational, type Rational, rational, toNumber } from '../../signal/rational.js';
import { STANDARD_RATES } from '../../signal/standard-rates.js';
import type { ProbedStream } from './ffprobe-output.js';

/**
 * The frame rate of a picture, from the times at which its frames are presented. Probe and measurement use
 * this same rule. The average declared by a container includes samples that an edit list hides, packets that
 * are fields and a long last frame, so it is only a candidate here.
 */
export interface RateFinding {
  /** The rate of all frames, or of most of them; null where there is none. */
  readonly rate: Rational | null;
  /** Whether all frames have the same duration; null where the times do not show it. */
  readonly constant: boolean | null;
}

/** Presentation times of frames in ticks of `timeBase` seconds, ascending. */
export interface PictureTimes {
  readonly ticks: ArrayLike<number>;
  readonly timeBase: Rational;
}

/**
 * How far the duration of a frame may be from the usual one, as a fraction of it, at a constant rate: phones
 * stamp frames by a clock that varies by 0.1 to 0.5 % (common practice, no source).
 */
const JITTER = 0.01;
/**
 * At a constant rate, frames deviate from their expected times by less than this, in frames, both directions
 * together: each is then nearest to its own expected time.
 */
const DRIFT = 0.5;
/**
 * A standard rate is assumed where the usual duration of frames is this near to it. 24 and 24000/1001 differ
 * by 0.001.
 */
const NEAR = 0.002;
/** With fewer ticks per frame the clock practically counts frames, and shows no jitter. */
const FINE_CLOCK = 10;

/**
 * @param stated rates that the file declares, the most reliable first. These are tried first, since with a
 * coarse clock (1/1000 s in Matroska) several rates fit the times.
 */
export function rateOf({ ticks, timeBase }: PictureTimes, stated: readonly Rational[]): RateFinding {
  const [first] = stated;
  if (ticks.length === 0) return { rate: first ?? null, constant: null };
  if (ticks.length === 1) return { rate: first ?? null, constant: first === undefined ? null : true };
  const usual = usualStep(ticks);
  const exact = exactRate(usual.ticks, timeBase);
  const candidates = [
    ...stated.filter(isPlain),
    ...(exact === null ? [] : [exact]),
    ...STANDARD_RATES,
    ...stated.filter((rate) => !isPlain(rate)),
  ];
  const kept = candidates.find((rate) => isOnGrid(ticks, rate, timeBase));
  if (kept !== undefined) return { rate: kept, constant: true };
  const meant = nearestKept(ticks, timeBase, candidates);
  if (meant !== null) return { rate: meant, constant: true };
  return { rate: mostCommonRate(ticks, timeBase, usual, stated), constant: false };
}

/** Whether it looks like a rate that somebody chose: the mean of a container is some odd quotient. */
function isPlain({ den }: Rational): boolean {
  return den <= 2 || den === 1001;
}

/** Ticks from one frame to the next at a rate. */
export function stepTicks(rate: Rational, timeBase: Rational): number {
  return (rate.den * timeBase.den) / (rate.num * timeBase.num);
}

/**
 * Whether every frame is at its exact time for the rate; where that is not a whole tick, the container has
 * rounded it, and the time of the first frame too.
 */
export function isOnGrid(ticks: ArrayLike<number>, rate: Rational, timeBase: Rational): boolean {
  const step = stepTicks(rate, timeBase);
  const tolerance = Number.isInteger(step) ? 0 : 1;
  return every(ticks, (time, frame) => Math.abs(time - (ticks[0] ?? 0) - frame * step) <= tolerance + 1e-6);
}

/**
 * The rate that frames follow most closely within jitter; of equally good ones the earlier.
 */
function nearestKept(
  ticks: ArrayLike<number>,
  timeBase: Rational,
  rates: readonly Rational[],
): Rational | null {
  let best: { rate: Rational; spread: number } | null = null;
  for (const rate of rates) {
    const step = stepTicks(rate, timeBase);
    const spread = spreadAt(ticks, step);
    const isNearer = best === null || (spread ?? 0) < best.spread - Math.max(1, JITTER * step);
    if (spread !== null && isNearer) best = { rate, spread };
  }
  return best?.rate ?? null;
}

/**
 * Largest deviation of frames from their expected times, both directions together, in ticks. Null where a
 * frame differs in duration, or may be nearer to the expected time of another frame than to its own.
 */
function spreadAt(ticks: ArrayLike<number>, step: number): number | null {
  let [low, high] = [0, 0];
  const even = every(ticks, (time, frame) => {
    const off = time - (ticks[0] ?? 0) - frame * step;
    low = Math.min(low, off);
    high = Math.max(high, off);
    return frame === 0 || isUsual(time - (ticks[frame - 1] ?? 0), step);
  });
  return even && high - low < DRIFT * step ? high - low : null;
}

/** Whether a distance is the usual one, within rounding of its two time stamps or within jitter. */
export function isUsual(distance: number, step: number): boolean {
  const rounding = step < FINE_CLOCK && Number.isInteger(step) ? 0 : 1;
  return Math.abs(distance - step) <= Math.max(rounding, step < FINE_CLOCK ? 0 : JITTER * step);
}

interface UsualStep {
  /** Mean of the distances near the most common one. */
  readonly ticks: number;
  /** Their share of all. */
  readonly share: number;
}

/** The most common distance between frames, within jitter. */
function usualStep(ticks: ArrayLike<number>): UsualStep {
  const distances = Float64Array.from(
    { length: ticks.length - 1 },
    (_, i) => (ticks[i + 1] ?? 0) - (ticks[i] ?? 0),
  ).sort();
  let best = { from: 0, to: 0 };
  for (let from = 0, to = 0; from < distances.length; from++) {
    const least = distances[from] ?? 0;
    const most = least + (least < 3 ? 0 : least < FINE_CLOCK ? 1 : Math.max(2, 2 * JITTER * least));
    while (to < distances.length && (distances[to] ?? 0) <= most) to++;
    if (least > 0 && to - from > best.to - best.from) best = { from, to };
  }
  const about = distances.subarray(best.from, best.to);
  const sum = about.reduce((all, distance) => all + distance, 0);
  return { ticks: about.length === 0 ? 0 : sum / about.length, share: about.length / distances.length };
}

/** The rate whose frame duration is exactly this many ticks. */
function exactRate(ticks: number, timeBase: Rational): Rational | null {
  return Number.isInteger(ticks) && ticks > 0 ? rational(timeBase.den, timeBase.num * ticks) : null;
}

/**
 * The rate of most frames, replaced by a standard rate that is near; where no duration prevails, their mean.
 */
function mostCommonRate(
  ticks: ArrayLike<number>,
  timeBase: Rational,
  usual: UsualStep,
  stated: readonly Rational[],
): Rational | null {
  const frames = ticks.length - 1;
  const span = (ticks[frames] ?? 0) - (ticks[0] ?? 0);
  const step = usual.share >= 0.5 ? usual.ticks : span / frames;
  if (!(step > 0)) return stated[0] ?? null;
  const off = (rate: Rational): number => Math.abs(stepTicks(rate, timeBase) / step - 1);
  // Rounded time stamps leave an uncertainty of one tick over all frames.
  const open = 1 / (usual.share * frames * step);
  const named = stated.find((rate) => off(rate) <= open);
  if (named !== undefined) return named;
  const nearest = [...stated, ...STANDARD_RATES].reduce((a, b) => (off(b) < off(a) ? b : a));
  if (usual.share >= 0.5 && off(nearest) <= NEAR) return nearest;
  const exact = exactRate(step, timeBase);
  if (exact !== null) return exact;
  return rational(Math.round((1000 * timeBase.den) / (step * timeBase.num)), 1000);
}

function every(ticks: ArrayLike<number>, holds: (time: number, frame: number) => boolean): boolean {
  for (let frame = 0; frame < ticks.length; frame++) {
    if (!holds(ticks[frame] ?? Number.NaN, frame)) return false;
  }
  return true;
}

/** How a time between two frame times is rounded, by the names of ffmpeg's `fps` filter. */
export const ROUNDINGS = ['near', 'up', 'down'] as const;
export type Rounding = (typeof ROUNDINGS)[number];
const ROUND: Readonly<Record<Rounding, (place: number) => number>> = {
  near: Math.round,
  // A place is a quotient of integers: one this near to an integer is that integer.
  up: (place) => Math.ceil(place - 1e-9),
  down: (place) => Math.floor(place + 1e-9),
};

/** Frames at a constant rate. */
export interface SteadyRate {
  readonly rate: Rational;
  readonly round: Rounding;
  /** Frame times from the first frame to the last. */
  readonly places: number;
}

/**
 * The rate at which frames of uneven duration can be shown without losing one: the rate of most of them,
 * otherwise the lowest standard rate above it at which each frame gets a frame time of its own. Null where no
 * rate up to 240 fits. `origin`: the tick from which ffmpeg counts the time of the file.
 */
export function steadyRate(
  { ticks, timeBase }: PictureTimes,
  usual: Rational,
  origin: number,
): SteadyRate | null {
  const rates = [usual, ...STANDARD_RATES.filter((rate) => toNumber(rate) > toNumber(usual))];
  for (const rate of rates) {
    const step = stepTicks(rate, timeBase);
    for (const round of ROUNDINGS) {
      const places = placesOf(ticks, (time) => ROUND[round]((time - origin) / step));
      if (places !== null) return { rate, round, places };
    }
  }
  return null;
}

/** Number of frame times that the frames need; null where two frames would share one. */
function placesOf(ticks: ArrayLike<number>, placeOf: (time: number) => number): number | null {
  const first = placeOf(ticks[0] ?? 0);
  let last = first - 1;
  const isRoomy = every(ticks, (time) => {
    const place = placeOf(time);
    const isFree = place > last;
    last = place;
    return isFree;
  });
  return isRoomy ? last - first + 1 : null;
}

/** Ticks a second of the coarsest clock that does not count frames, that of Matroska. */
const SLOWEST_CLOCK = 1000;

/**
 * The rates ffprobe reports for a stream: the finest grid its time stamps fit (that of the fields in some
 * interlaced clips, or the tick of the clock where it knows no rate), half of it, and the average of the
 * container.
 */
export function statedRates(stream: Pick<ProbedStream, 'r_frame_rate' | 'avg_frame_rate'>): Rational[] {
  const nominal = positive(stream.r_frame_rate);
  const average = positive(stream.avg_frame_rate);
  const grid = nominal === null || toNumber(nominal) >= SLOWEST_CLOCK ? [] : [nominal, halfOf(nominal)];
  if (average === null) return grid;
  return isPlain(average) ? [average, ...grid] : [...grid, average];
}

function positive(text: string | undefined): Rational | null {
  const value = text === undefined ? null : parseRational(text);
  return value === null || value.num === 0 ? null : value;
}

function halfOf(rate: Rational): Rational {
  return rational(rate.num, rate.den * 2);
}
