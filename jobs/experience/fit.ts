/** What was reckoned by the figures of the codecs, and what it came to: bytes or seconds, both above 0. */
export interface Pair {
  readonly reckoned: number;
  readonly came: number;
}

/** What came of a figure, as a function of it. */
export interface Fit {
  predict(reckoned: number): number;
  /** Pairs it stands on. */
  readonly pairs: number;
}

/** Fewer tell nothing. */
export const LEAST_PAIRS = 3;
/** A line takes more pairs than a ratio, and figures that differ by so much. */
const LINE_PAIRS = 6;
const LINE_SPREAD = 1.5;
/** A line is taken where its errors are smaller than those of a ratio by so much. */
const LINE_GAIN = 0.8;
/** Beyond the largest figure that was seen growth is that of the figures, within this factor. */
const GROWTH = 4;
const FENCE = 1.5;

/**
 * What finished work teaches about work to come: a ratio, or where a part of it does not grow with the
 * figure, as the start of a program does not, a line. One outlier moves neither: of the ratios those beyond
 * the fences are left out (Tukey, Exploratory Data Analysis, 1977: 1.5 interquartile ranges from the
 * quartiles), and the line is the median of the slopes of all pairs (Theil 1950, Sen 1968). Pure.
 *
 * @returns null where fewer than three pairs tell
 */
export function fitPairs(pairs: readonly Pair[]): Fit | null {
  const kept = withinFences(pairs.filter(({ reckoned, came }) => reckoned > 0 && came > 0));
  if (kept.length < LEAST_PAIRS) return null;
  const ratio = byRatio(kept);
  const line = byLine(kept);
  const best = line !== null && medianError(kept, line) < LINE_GAIN * medianError(kept, ratio) ? line : ratio;
  return { predict: best, pairs: kept.length };
}

/** The sum of what came over the sum of the figures: of a night it is the sum that has to fit. */
function byRatio(pairs: readonly Pair[]): Fit['predict'] {
  const sum = (of: (pair: Pair) => number): number => pairs.reduce((total, pair) => total + of(pair), 0);
  const ratio = sum(({ came }) => came) / sum(({ reckoned }) => reckoned);
  return (reckoned) => ratio * reckoned;
}

function byLine(pairs: readonly Pair[]): Fit['predict'] | null {
  const figures = pairs.map(({ reckoned }) => reckoned);
  const largest = Math.max(...figures);
  if (pairs.length < LINE_PAIRS || largest < LINE_SPREAD * Math.min(...figures)) return null;
  const slopes: number[] = [];
  for (const [index, a] of pairs.entries()) {
    for (const b of pairs.slice(index + 1)) {
      if (a.reckoned !== b.reckoned) slopes.push((b.came - a.came) / (b.reckoned - a.reckoned));
    }
  }
  const slope = Math.max(median(slopes), 0);
  const start = Math.max(median(pairs.map(({ reckoned, came }) => came - slope * reckoned)), 0);
  const beyond = Math.min(Math.max(slope, 1 / GROWTH), GROWTH);
  return (reckoned) => start + slope * Math.min(reckoned, largest) + beyond * Math.max(reckoned - largest, 0);
}

function medianError(pairs: readonly Pair[], predict: Fit['predict']): number {
  return median(pairs.map(({ reckoned, came }) => Math.abs(predict(reckoned) - came) / came));
}

function withinFences(pairs: readonly Pair[]): Pair[] {
  const logs = pairs.map(({ reckoned, came }) => Math.log(came / reckoned)).sort((a, b) => a - b);
  const low = quantile(logs, 0.25);
  const high = quantile(logs, 0.75);
  const reach = FENCE * (high - low) + 1e-9;
  return pairs.filter(({ reckoned, came }) => {
    const log = Math.log(came / reckoned);
    return log >= low - reach && log <= high + reach;
  });
}

function median(values: readonly number[]): number {
  return quantile(
    [...values].sort((a, b) => a - b),
    0.5,
  );
}

/** Of sorted values, between two neighbours by a straight line; 0 of none. */
function quantile(sorted: readonly number[], part: number): number {
  const at = (sorted.length - 1) * part;
  const below = sorted[Math.floor(at)] ?? 0;
  return below + ((sorted[Math.ceil(at)] ?? below) - below) * (at - Math.floor(at));
}
