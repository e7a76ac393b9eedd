import type { QuantiserRange } from '../../../jobs/codecs/picture-codec.js';

/** Bytes that sampled frames came to at one quantiser. */
export interface TriedSizes {
  readonly quantiser: number;
  /** Bytes of each sampled frame, in order; at least one. */
  readonly bytes: readonly number[];
}

/** A frame may take this many times the bytes that the rate gives it, as long as the mean keeps the rate. */
const MOST_OF_ONE_FRAME = 1.5;

/**
 * The finest quantiser at which frames keep a size: their mean is at most `frameBytes` and the largest at
 * most 1.5 times that. `tried` goes from fine to coarse, at least three.
 *
 * The logarithm of the size is taken as a parabola over the logarithm of the quantiser through the three
 * nearest tries, and goes on straight beyond the last. Gives the coarsest quantiser where none is coarse
 * enough. Throws RangeError for fewer than three tries.
 */
export function quantiserForSize(
  tried: readonly TriedSizes[],
  frameBytes: number,
  { finest, coarsest }: Pick<QuantiserRange, 'finest' | 'coarsest'>,
): number {
  const mean = curveThrough(tried, (bytes) => bytes.reduce((sum, size) => sum + size, 0) / bytes.length);
  const largest = curveThrough(tried, (bytes) => Math.max(...bytes));
  for (let quantiser = finest; quantiser < coarsest; quantiser++) {
    if (mean(quantiser) <= frameBytes && largest(quantiser) <= frameBytes * MOST_OF_ONE_FRAME)
      return quantiser;
  }
  return coarsest;
}

interface Point {
  readonly x: number;
  readonly y: number;
}

/** Bytes at any quantiser, from those tried. */
function curveThrough(
  tried: readonly TriedSizes[],
  sizeOf: (bytes: readonly number[]) => number,
): (quantiser: number) => number {
  const points = tried.map(({ quantiser, bytes }) => ({
    x: Math.log(quantiser),
    y: Math.log(sizeOf(bytes)),
  }));
  return (quantiser) => {
    const x = Math.log(quantiser);
    const next = points.findIndex((point) => point.x >= x);
    const last = points.length - 3;
    const [a, b, c] = points.slice(next < 0 ? last : Math.min(Math.max(0, next - 1), last));
    if (a === undefined || b === undefined || c === undefined) throw new RangeError('at least three tries');
    return Math.exp(x > c.x ? c.y + ((c.y - b.y) / (c.x - b.x)) * (x - c.x) : parabola(a, b, c, x));
  };
}

/** Lagrange's polynomial through three points. */
function parabola(a: Point, b: Point, c: Point, x: number): number {
  return (
    (a.y * (x - b.x) * (x - c.x)) / ((a.x - b.x) * (a.x - c.x)) +
    (b.y * (x - a.x) * (x - c.x)) / ((b.x - a.x) * (b.x - c.x)) +
    (c.y * (x - a.x) * (x - b.x)) / ((c.x - a.x) * (c.x - b.x))
  );
}
