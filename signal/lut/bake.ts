import type { Vector3 } from '../matrix3.js';
import type { Rendering } from '../rendering/make-rendering.js';
import { applyStep, type Curve, type Step } from '../rendering/step.js';
import { type Cube, type LutTable, UNIT_DOMAIN } from './cube.js';
import { interpolateLinear } from './linear-interpolation.js';
import { type LutError, lutError, probeColours } from './lut-error.js';
import { interpolateTetrahedral } from './tetrahedral.js';

/** A step as a table for a video filter; `shape` is the PQ curve, which needs no table. */
export type BakedStep =
  | { readonly kind: 'lut1d'; readonly what: string; readonly table: LutTable }
  | { readonly kind: 'lut3d'; readonly what: string; readonly table: LutTable }
  | { readonly kind: 'shape' };

export interface Baked {
  readonly rendering: Rendering;
  readonly steps: readonly BakedStep[];
  /** Relative to the rendering in double precision. */
  readonly error: LutError;
}

/**
 * Points of a 1D table. Between two points of the steepest curve here (17 nats of light) linear interpolation
 * is wrong by 2e-6 of the value.
 */
const CURVE_SIZE = 4096;
/** Sizes of a 3D table. */
const MIX_SIZES = [33, 49, 65] as const;
/** In 10-bit codes: small against the rounding that follows. */
const ENOUGH = { mean: 0.1, p999: 0.5 };

/** Bakes a rendering; the size of a 3D table is the smallest with a small enough error, or `mixSize`. */
export function bakeRendering(rendering: Rendering, mixSize?: number): Baked {
  const colours = probeColours();
  const expected = colours.map((colour) =>
    rendering.steps.reduce((value, step) => applyStep(step, value), colour),
  );
  const known = new Map<Step, BakedStep>();
  const bakeAt = (size: number): Baked => {
    const steps = rendering.steps.map((step) => {
      const table = known.get(step) ?? bakeStep(step, size);
      if (step.kind !== 'mix') known.set(step, table);
      return table;
    });
    const got = colours.map((colour) => applyBaked(steps, colour));
    return { rendering, steps, error: lutError(got, expected) };
  };
  if (mixSize !== undefined) return bakeAt(mixSize);
  const first = bakeAt(MIX_SIZES[0]);
  const hasMix = rendering.steps.some((step) => step.kind === 'mix');
  if (!hasMix || isEnough(first.error)) return first;
  const likely = MIX_SIZES.find((size) => isEnough(expectedError(first.error, size))) ?? LARGEST;
  const second = bakeAt(likely);
  return likely === LARGEST || isEnough(second.error) ? second : bakeAt(LARGEST);
}

const LARGEST = MIX_SIZES[2];

function isEnough({ mean, p999 }: Pick<LutError, 'mean' | 'p999'>): boolean {
  return mean <= ENOUGH.mean && p999 <= ENOUGH.p999;
}

/** The error of a smooth map is proportional to the square of the cell size. */
function expectedError({ mean, p999 }: LutError, size: number): Pick<LutError, 'mean' | 'p999'> {
  const factor = ((MIX_SIZES[0] - 1) / (size - 1)) ** 2;
  return { mean: mean * factor, p999: p999 * factor };
}

/**
 * A colour through the baked steps, in double precision: code fraction of the source to nominal signal of the
 * target.
 */
export function applyBaked(steps: readonly BakedStep[], fraction: Vector3): Vector3 {
  let colour = fraction;
  for (const step of steps) {
    if (step.kind === 'lut1d') colour = interpolateLinear(step.table, colour);
    else if (step.kind === 'lut3d') colour = interpolateTetrahedral(step.table, colour);
    else colour = applyStep(step, colour);
  }
  return colour;
}

/**
 * One `.cube` of a whole rendering, for use elsewhere: signals of 0..1 in, signals out, with what they mean
 * in comments.
 */
export function bakeSingleCube(
  rendering: Rendering,
  size: number,
): { cube: Cube; error: LutError; inside: LutError } {
  const table = lattice(size, rendering.apply);
  const colours = probeColours();
  const got = colours.map((colour) => interpolateTetrahedral(table, colour));
  const expected = colours.map(rendering.apply);
  const error = lutError(got, expected);
  const isInside = (_: unknown, i: number): boolean =>
    (expected[i] ?? []).every((value) => value >= INSIDE && value <= 1 - INSIDE);
  const inside = lutError(got.filter(isInside), expected.filter(isInside));
  const { from, to, description, source, notes } = rendering;
  const comments = [
    description,
    `after: ${source}`,
    ...notes,
    `in: R'G'B' signal of ${from.transfer}/${from.primaries}, out: of ${to.transfer}/${to.primaries}; 0 to 1 as the curve defines it`,
    `against the formula, 10-bit codes, tetrahedral, colours of the whole cube: ${errorText(error)}`,
    `of those, colours that come out between ${INSIDE * 100} and ${100 - INSIDE * 100} %: ${errorText(inside)}`,
  ];
  const title = `${from.transfer}/${from.primaries} to ${to.transfer}/${to.primaries}`;
  return { cube: { title, comments, curve: null, cube: table }, error, inside };
}

/** Away from the edge of the target's gamut by this much signal in every channel. */
const INSIDE = 0.02;

function errorText({ exact, withinOne, mean, p999, worst }: LutError): string {
  return `${sharePercent(exact)} % within half a code, ${sharePercent(withinOne)} % within one, mean ${mean.toFixed(3)}, 99.9 % within ${p999.toFixed(2)}, worst ${worst.toFixed(2)}`;
}

/** Never 100 while one sample is off. */
function sharePercent(share: number): string {
  return (Math.floor(share * 1000) / 10).toFixed(1);
}

/** A 3D table of a map over 0..1, of channels that `decode` has been through. */
export function lattice(
  size: number,
  map: (colour: Vector3) => Vector3,
  decode: Curve = (value) => value,
): LutTable {
  const values = new Float64Array(size ** 3 * 3);
  const places = Array.from({ length: size }, (_, i) => decode(i / (size - 1)));
  let at = 0;
  for (const b of places) {
    for (const g of places) {
      for (const r of places) {
        const [x, y, z] = map([r, g, b]);
        values[at] = x;
        values[at + 1] = y;
        values[at + 2] = z;
        at += 3;
      }
    }
  }
  return { size, values, ...UNIT_DOMAIN };
}

function bakeStep(step: Step, mixSize: number): BakedStep {
  switch (step.kind) {
    case 'shape':
      return step;
    case 'curve':
      return { kind: 'lut1d', what: step.what, table: curveTable(step.curves) };
    case 'affine':
      return { kind: 'lut3d', what: step.what, table: lattice(2, (colour) => applyStep(step, colour)) };
    case 'mix':
      return { kind: 'lut3d', what: step.what, table: lattice(mixSize, step.map, step.decode) };
    case 'cube':
      return { kind: 'lut3d', what: step.what, table: step.table };
  }
}

function curveTable([r, g, b]: Extract<Step, { kind: 'curve' }>['curves']): LutTable {
  const values = new Float64Array(CURVE_SIZE * 3);
  for (let row = 0; row < CURVE_SIZE; row += 1) {
    const value = row / (CURVE_SIZE - 1);
    values.set([r(value), g(value), b(value)], row * 3);
  }
  return { size: CURVE_SIZE, values, ...UNIT_DOMAIN };
}
