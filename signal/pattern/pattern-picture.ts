import type { SignalColour } from '../colour.js';
import type { Vector3 } from '../matrix3.js';
import type { RangeName } from '../quantise.js';

/** One frame of a test picture as code values. */
export interface PatternPicture {
  readonly title: string;
  /** Document and edition that define its codes. */
  readonly source: string;
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  readonly colour: SignalColour & { readonly range: RangeName };
  /** R', G', B' (matrix `gbr`) or Y', Cb, Cr, row by row, 4:4:4. */
  readonly planes: readonly [Uint16Array, Uint16Array, Uint16Array];
}

/** The colour of a sample at column x and row y, in codes. */
export type CodeAt = (x: number, y: number) => Vector3;

export function paint(width: number, height: number, codeAt: CodeAt): PatternPicture['planes'] {
  const size = width * height;
  const planes = [new Uint16Array(size), new Uint16Array(size), new Uint16Array(size)] as const;
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const [a, b, c] = codeAt(x, y);
      const at = y * width + x;
      planes[0][at] = a;
      planes[1][at] = b;
      planes[2][at] = c;
    }
  }
  return planes;
}

/** A run of columns (or rows) with the same value, and its length. */
export type Run<T> = readonly [length: number, value: T];

/**
 * The value at a position along runs. Throws RangeError past their end: the lengths must add up to the width.
 */
export function atRun<T>(runs: readonly Run<T>[], position: number): { value: T; from: number } {
  let from = 0;
  for (const [length, value] of runs) {
    if (position < from + length) return { value, from };
    from += length;
  }
  throw new RangeError(`position ${position} is past the ${from} the runs cover`);
}

export function grey(code: number): Vector3 {
  return [code, code, code];
}

/** White, yellow, cyan, green, magenta, red, blue between two codes. */
export function colourBars(high: number, low: number): readonly Vector3[] {
  return [
    [high, high, high],
    [high, high, low],
    [low, high, high],
    [low, high, low],
    [high, low, high],
    [high, low, low],
    [low, low, high],
  ];
}
