/**
 * A picture of fewer levels that was gained or graded with more bits shows in its histogram as a comb: its
 * levels land on every few codes and the codes between stay empty, whatever the gain. Pictures by nature fill
 * all codes of the tones they have.
 */
export interface CodeComb {
  /** Codes from one used code to the next, on the average. */
  readonly spacing: number;
}

/** Tails that are left out: few samples leave holes by chance. */
const TAIL = 0.02;
/**
 * A code is in use from this share of the most frequent one near it: titles and dither over the picture may
 * touch the others.
 */
const IN_USE = 0.02;
/** How near, in codes. */
const REACH = 16;
/** Steps from used code to used code that are looked at together, and steps that must have been seen. */
const STEPS = 8;
const LEAST_STEPS = 24;
/** Share of the groups of steps that must be even. */
const EVEN = 0.8;

/** Closer on the average than this, codes are filled but for a few holes. */
const FILLED = 1.05;

/**
 * The comb of a histogram, null where its codes are filled or its holes are not even. Steps next to each
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
  return even >= EVEN * groups && spacing >= FILLED ? { spacing } : null;
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
 * that grain, dither or lossy coding has filled. It proves nothing of how many bits are in use, but it
 * forbids to say that all are.
 */
export function hasCombTrace(counts: Float64Array, longest: number): boolean {
  const [first, last] = toneRange(counts);
  const length = Math.min(last - first + 1, LONGEST_RANGE);
  if (length < LEAST_RANGE) return false;
  const deviation = deviations(counts, Math.floor((first + last + 1 - length) / 2), length);
  const strengths: number[] = [];
  // Frequencies as close as the length of the range tells apart.
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

/** Counts against the mean of the used codes near; 0 for codes not in use, whose holes say nothing here. */
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
