import { diagonal3, invert3, type Matrix3, multiply3, transform3, type Vector3 } from './matrix3.js';

/** CIE 1931 xy. */
export type Chromaticity = readonly [x: number, y: number];

export const ADAPTATION_NAMES = ['bradford', 'cat02'] as const;
export type AdaptationName = (typeof ADAPTATION_NAMES)[number];

/** XYZ to the sharpened cone responses that each method scales. */
const CONE_RESPONSE: Readonly<Record<AdaptationName, Matrix3>> = {
  // ICC.1:2022 Annex E.3 (linear Bradford); the method of ST 2065-1 and of ACES for its own white.
  bradford: [
    [0.8951, 0.2664, -0.1614],
    [-0.7502, 1.7135, 0.0367],
    [0.0389, -0.0685, 1.0296],
  ],
  // CIE 159:2004, CIECAM02.
  cat02: [
    [0.7328, 0.4296, -0.1624],
    [-0.7036, 1.6975, 0.0061],
    [0.003, 0.0136, 0.9834],
  ],
};

/**
 * XYZ of a chromaticity at luminance Y = 1. Throws RangeError where y is 0: such a white has no luminance.
 */
export function xyzOfChromaticity([x, y]: Chromaticity): Vector3 {
  if (y === 0) throw new RangeError(`chromaticity (${x}, ${y}) has no luminance: y must not be 0`);
  return [x / y, 1, (1 - x - y) / y];
}

/** XYZ under white `from` to the corresponding XYZ under white `to` (von Kries scaling, full adaptation). */
export function adaptationMatrix(from: Chromaticity, to: Chromaticity, method: AdaptationName): Matrix3 {
  const cone = CONE_RESPONSE[method];
  const [fromL, fromM, fromS] = transform3(cone, xyzOfChromaticity(from));
  const [toL, toM, toS] = transform3(cone, xyzOfChromaticity(to));
  return multiply3(invert3(cone), multiply3(diagonal3([toL / fromL, toM / fromM, toS / fromS]), cone));
}
