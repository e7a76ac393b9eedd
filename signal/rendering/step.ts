import type { LutTable } from '../lut/cube.js';
import { interpolateTetrahedral } from '../lut/tetrahedral.js';
import { type Matrix3, transform3, type Vector3 } from '../matrix3.js';
import { PQ, PQ_PEAK_NITS } from '../transfer/pq.js';

/** One channel: a value of 0..1 to any value. */
export type Curve = (value: number) => number;

/**
 * A rendering is a short list of steps, each of a kind that a video filter can apply exactly (`curve`,
 * `affine`, `shape`) or with a small measured error (`mix`). Kinks of a rendering, such as the edge of a
 * gamut, are then at the limits of a step instead of inside the cells of a cube, where no cube is fine
 * enough.
 *
 * Every step limits its input to 0..1 first; output is not limited.
 */
export type Step =
  /** Each channel on its own: a 1D table. */
  | { readonly kind: 'curve'; readonly what: string; readonly curves: readonly [Curve, Curve, Curve] }
  /**
   * `matrix * colour + offset`: exact in a 3D table of two points per side with tetrahedral interpolation.
   */
  | {
      readonly kind: 'affine';
      readonly what: string;
      readonly matrix: Matrix3;
      readonly offset: Vector3;
    }
  /**
   * Light 0..1 to perceptually uniform steps: the PQ curve with its peak at 1. Gives dark light more points
   * of the following table.
   */
  | { readonly kind: 'shape' }
  /** All channels together: a 3D table. Smooth over 0..1. */
  | {
      readonly kind: 'mix';
      readonly what: string;
      /**
       * Decodes each channel; separate from `map` so that a table computes it once per row.
       */
      readonly decode: Curve;
      readonly map: (decoded: Vector3) => Vector3;
    }
  /** A given table, over the domain 0..1: used as it is. */
  | { readonly kind: 'cube'; readonly what: string; readonly table: LutTable };

export function sameCurve(what: string, curve: Curve): Step {
  return { kind: 'curve', what, curves: [curve, curve, curve] };
}

/**
 * Only the limit to 0..1 that every step has, to remove excursions at the end of the chain.
 */
export function limitedToNominal(): Step {
  return sameCurve('limited to 0..1', (value) => value);
}

/** One step, in double precision. */
export function applyStep(step: Step, colour: Vector3): Vector3 {
  const limited: Vector3 = [limit(colour[0]), limit(colour[1]), limit(colour[2])];
  switch (step.kind) {
    case 'curve': {
      const [r, g, b] = step.curves;
      return [r(limited[0]), g(limited[1]), b(limited[2])];
    }
    case 'affine': {
      const [r, g, b] = transform3(step.matrix, limited);
      return [r + step.offset[0], g + step.offset[1], b + step.offset[2]];
    }
    case 'shape':
      return [shaped(limited[0]), shaped(limited[1]), shaped(limited[2])];
    case 'mix':
      return step.map([step.decode(limited[0]), step.decode(limited[1]), step.decode(limited[2])]);
    case 'cube':
      return interpolateTetrahedral(step.table, limited);
  }
}

/** The `shape` step for one channel, and its inverse. Light and shaped value 0..1. */
export function shaped(light: number): number {
  return PQ.inverseEotf(light * PQ_PEAK_NITS);
}
export function unshaped(value: number): number {
  return PQ.eotf(value) / PQ_PEAK_NITS;
}

function limit(value: number): number {
  return value > 0 ? Math.min(value, 1) : 0;
}
