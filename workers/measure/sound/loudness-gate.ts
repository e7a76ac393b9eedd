/** Gated loudness (BS.1770-5 Annex 1) and loudness range (EBU Tech 3342 v4), from mean squares of windows. */

const ABSOLUTE_GATE_LUFS = -70;
const INTEGRATED_RELATIVE_GATE_LU = -10;
const RANGE_RELATIVE_GATE_LU = -20;
const RANGE_LOW_PERCENTILE = 10;
const RANGE_HIGH_PERCENTILE = 95;

/**
 * LUFS of a weighted mean square (BS.1770-5 Annex 1, equation 2); null for silence, which has no loudness.
 */
export function loudness(meanSquare: number): number | null {
  return meanSquare > 0 ? -0.691 + 10 * Math.log10(meanSquare) : null;
}

function meanSquareAt(lufs: number): number {
  return 10 ** ((lufs + 0.691) / 10);
}

function mean(values: readonly number[]): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

/** Windows that lie above the absolute gate, and above the gate `relative` LU below the loudness of those. */
function gated(meanSquares: Iterable<number>, relative: number): number[] {
  const absolute = meanSquareAt(ABSOLUTE_GATE_LUFS);
  const audible: number[] = [];
  for (const value of meanSquares) if (value > absolute) audible.push(value);
  if (audible.length === 0) return [];
  const threshold = mean(audible) * 10 ** (relative / 10);
  return audible.filter((value) => value > threshold);
}

/** Integrated loudness, LUFS, of 400 ms blocks; null when no block passes the gates. */
export function integratedLoudness(blocks: Iterable<number>): number | null {
  const passed = gated(blocks, INTEGRATED_RELATIVE_GATE_LU);
  return passed.length === 0 ? null : loudness(mean(passed));
}

/** Loudness range, LU, of 3 s windows; null when no window passes the gates. */
export function loudnessRange(windows: Iterable<number>): number | null {
  const sorted = gated(windows, RANGE_RELATIVE_GATE_LU).sort((a, b) => a - b);
  const at = (percentile: number): number | undefined =>
    sorted[Math.round(((sorted.length - 1) * percentile) / 100)];
  const low = at(RANGE_LOW_PERCENTILE);
  const high = at(RANGE_HIGH_PERCENTILE);
  return low === undefined || high === undefined ? null : 10 * Math.log10(high / low);
}
