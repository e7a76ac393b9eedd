/**
 * A picture of fewer levels that was amplified or graded with more bits has a comb in its histogram: its
 * levels are at every few codes and the codes between are empty, whatever the gain. Other pictures fill all
 * codes of their tones.
 */
export interface CodeComb {
  /** Average distance from one used code to the next, in codes. */
  readonly spacing: number;
  /** Fraction of the samples on codes that have a used code right beside them: tone without a comb. */
  readonly filled: number;
}

/** Ignored tails: few samples leave holes by chance. */
const TAIL = 0.02;
/**
 * A code is in use from this fraction of the most frequent code near it: titles and dither may touch the
 * others.
 */
const IN_USE = 0.02;
/** How near that is, in codes. */
const REACH = 16;
/** Steps from used code to used code that are grouped, and least number of steps. */
const STEPS = 8;
const LEAST_STEPS = 24;
/** Fraction of the groups of steps that must be even. */
const EVEN = 0.8;

/** With a smaller average distance, codes are filled except for a few holes. */
const FILLED = 1.05;

/**
 * The comb of a histogram; null where its codes are filled or its holes are not regular. Steps next to each
 * other may differ by one code, as rounding makes them; over the range they may grow, as a graded curve makes
 * them.
 *
 * @param counts samples by code.
 */
export function codeComb(counts: Float64Array): CodeComb | null {
  const used = usedCodes(counts);
  const steps = used.slice(1).map((code, i) => code - (used[i] ?? code));
  if (steps.length < LEAST_STEPS) return null;
  let groups = 0;
  let even = 0;
  for (let i = 0; i + STEPS <= steps.length; i++) {
    const group = steps.slice(i, i + STEPS);
    const widest = Math.max(...group);
    groups++;
    if (widest - Math.min(...group) <= 1) even++;
  }
  const spacing = ((used.at(-1) ?? 0) - (used[0] ?? 0)) / steps.length;
  return even >= EVEN * groups && spacing >= FILLED ? { spacing, filled: filledShare(counts, used) } : null;
}

function filledShare(counts: Float64Array, used: readonly number[]): number {
  const on = (codes: readonly number[]): number => codes.reduce((sum, code) => sum + (counts[code] ?? 0), 0);
  const beside = used.filter((code, i) => used[i - 1] === code - 1 || used[i + 1] === code + 1);
  return on(beside) / on(used);
}

function usedCodes(counts: Float64Array): number[] {
  const [from, to] = toneRange(counts);
  const used: number[] = [];
  for (let code = from; code <= to; code++) {
    if ((counts[code] ?? 0) > leastInUse(counts, code)) used.push(code);
  }
  return used;
}

function leastInUse(counts: Float64Array, code: number): number {
  let most = 0;
  for (let near = code - REACH; near <= code + REACH; near++) most = Math.max(most, counts[near] ?? 0);
  return IN_USE * most;
}

/** First and last code of the tones between the tails. */
function toneRange(counts: Float64Array): readonly [from: number, to: number] {
  const total = counts.reduce((a, b) => a + b, 0);
  let sum = 0;
  let from = 0;
  for (let code = 0; code < counts.length; code++) {
    const before = sum;
    sum += counts[code] ?? 0;
    if (before <= TAIL * total && sum > TAIL * total) from = code;
    if (sum >= (1 - TAIL) * total) return [from, code];
  }
  return [from, counts.length - 1];
}

/**
 * Codes of tone that a trace of a comb needs to stand out, and its strength: deviation of the counts at the
 * period, 1 for a whole one.
 */
const LEAST_RANGE = 64;
const TRACE = 0.15;
const OVER_CHANCE = 6;

/** Codes in the middle of the tone that are looked at: enough for any period, and quick. */
const LONGEST_RANGE = 1024;

/**
 * Whether the counts of the codes in use rise and fall with an even period of 2 to `longest` codes: a comb
 * that grain, dither or lossy coding has filled. It does not prove how many bits are in use, but then not all
 * can be said to be.
 */
export function hasCombTrace(counts: Float64Array, longest: number): boolean {
  const [first, last] = toneRange(counts);
  const length = Math.min(last - first + 1, LONGEST_RANGE);
  if (length < LEAST_RANGE) return false;
  const deviation = deviations(counts, Math.floor((first + last + 1 - length) / 2), length);
  const strengths: number[] = [];
  // Frequencies at the resolution of the length of the range.
  for (let k = Math.ceil(length / longest); 2 * k <= length; k++) {
    let re = 0;
    let im = 0;
    deviation.forEach((value, i) => {
      const angle = (2 * Math.PI * k * i) / length;
      re += value * Math.cos(angle);
      im += value * Math.sin(angle);
    });
    strengths.push((2 * Math.hypot(re, im)) / length);
  }
  strengths.sort((a, b) => a - b);
  const strongest = strengths.at(-1) ?? 0;
  const usual = strengths[Math.floor(strengths.length / 2)] ?? 0;
  return strongest > TRACE && strongest > OVER_CHANCE * usual;
}

/** Counts relative to the mean of the used codes near; 0 for codes not in use. */
function deviations(counts: Float64Array, from: number, length: number): Float64Array {
  return Float64Array.from({ length }, (_, i) => {
    const least = leastInUse(counts, from + i);
    const here = counts[from + i] ?? 0;
    if (!(here > least)) return 0;
    let sum = 0;
    let used = 0;
    for (let near = from + i - REACH; near <= from + i + REACH; near++) {
      const count = counts[near] ?? 0;
      if (!(count > least)) continue;
      sum += count;
      used++;
    }
    return here / (sum / used) - 1;
  });
}
