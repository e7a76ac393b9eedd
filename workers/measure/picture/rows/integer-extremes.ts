/**
 * The larger and the smaller of two whole numbers that lie less than 2^31 apart. Without a branch: which of
 * R', G' and B' is the largest changes from pixel to pixel, and a branch that cannot be foreseen costs more
 * than all else in the loop.
 */
export function greater(a: number, b: number): number {
  const difference = (a - b) | 0;
  return (a - (difference & (difference >> 31))) | 0;
}

export function lesser(a: number, b: number): number {
  const difference = (a - b) | 0;
  return (b + (difference & (difference >> 31))) | 0;
}
