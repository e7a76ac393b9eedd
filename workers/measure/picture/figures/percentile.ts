/** Index of the smallest bin at or below which `share` of the samples are; -1 for an empty histogram. */
export function percentileBin(counts: Float64Array, share: number): number {
  let total = 0;
  for (const count of counts) total += count;
  if (total === 0) return -1;
  const wanted = total * share;
  let sum = 0;
  for (let bin = 0; bin < counts.length; bin++) {
    sum += counts[bin] ?? 0;
    // The sums are whole numbers; `wanted` may carry a rounding of its own.
    if (sum >= wanted * (1 - 1e-12)) return bin;
  }
  return counts.length - 1;
}

/** Sum of the samples in bins `from` to `to`, `to` left out. */
export function countBetween(counts: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let bin = Math.max(from, 0); bin < Math.min(to, counts.length); bin++) sum += counts[bin] ?? 0;
  return sum;
}
