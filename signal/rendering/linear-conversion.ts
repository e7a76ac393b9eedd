import { rgbToRgbMatrix } from '../gamut/convert.js';
import type { PrimariesName } from '../gamut/gamuts.js';
import { diagonal3, multiply3, type Vector3 } from '../matrix3.js';
import { type Curve, type Step, sameCurve, unshaped } from './step.js';

export interface LinearConversion {
  /** From the input of `decode` (0..1) to shaped linear light of the other primaries. */
  readonly steps: readonly Step[];
  /** Linear light, in the unit of `decode`, of a shaped value. */
  readonly lightOf: Curve;
}

/**
 * Decodes to linear light and changes the primaries, exactly: a curve, a matrix, and the shaping that a table
 * over linear light needs. Light below `floor` in the new primaries (a colour outside their gamut) is limited
 * to it, channel by channel, in linear light. Light is not limited at the top.
 *
 * @param decode increasing over 0..1. @param floor in the unit of `decode`, 0 or below.
 */
export function convertLinear(
  decode: Curve,
  what: string,
  from: PrimariesName,
  to: PrimariesName,
  floor = 0,
): LinearConversion {
  const matrix = rgbToRgbMatrix(from, to);
  const lowest = decode(0);
  const span = decode(1) - lowest;
  const headroom = Math.max(...matrix.map((row) => row.reduce((sum, k) => sum + Math.max(k, 0), 0)));
  // Full scale is the most any channel can reach, so nothing is limited at the top.
  const scale = 1 / (headroom * (lowest + span) - floor);
  const offset = (row: Vector3): number => (lowest * (row[0] + row[1] + row[2]) - floor) * scale;
  return {
    steps: [
      sameCurve(what, (value) => (decode(value) - lowest) / span),
      {
        kind: 'affine',
        what: from === to ? 'scale of light' : `${from} to ${to} in linear light`,
        matrix: multiply3(diagonal3([span * scale, span * scale, span * scale]), matrix),
        offset: [offset(matrix[0]), offset(matrix[1]), offset(matrix[2])],
      },
      { kind: 'shape' },
    ],
    lightOf: (value) => unshaped(value) / scale + floor,
  };
}

/** A picture's signal, 0..1 nominal, from one set of primaries to another through its own linear light. */
export function convertSignalPrimaries(
  curve: { readonly decode: Curve; readonly encode: Curve; readonly what: string },
  from: PrimariesName,
  to: PrimariesName,
): readonly Step[] {
  if (from === to) return [];
  const linear = convertLinear(curve.decode, `${curve.what} to light`, from, to);
  return [
    ...linear.steps,
    sameCurve(`light to ${curve.what}`, (value) => curve.encode(linear.lightOf(value))),
  ];
}
