import { type AdaptationName, type Chromaticity, xyzOfChromaticity } from '../adaptation.js';
import { diagonal3, invert3, type Matrix3, multiply3, transform3, transpose3 } from '../matrix3.js';
import type { Named } from '../named.js';

/** A set of primaries as published. All chromaticities are CIE 1931 xy. */
export interface Primaries<Name extends string = string> extends Named<Name> {
  readonly title: string;
  /** Document, edition and clause. */
  readonly source: string;
  /** Value in ITU-T H.273 (07/2024), Table 2; null where it has none. */
  readonly codePoint: number | null;
  readonly red: Chromaticity;
  readonly green: Chromaticity;
  readonly blue: Chromaticity;
  readonly white: Chromaticity;
  /**
   * How colours of this gamut are adapted to another white; Bradford by default.
   */
  readonly adaptation?: AdaptationName;
}

/** Primaries with the matrices computed from them. Linear RGB (1, 1, 1) is the white at Y = 1. */
export interface Gamut<Name extends string = string> extends Primaries<Name> {
  readonly rgbToXyz: Matrix3;
  readonly xyzToRgb: Matrix3;
}

/** CIE illuminant D65 as rounded in the video standards (BT.709-6 Table 1, item 1.4). */
export const D65: Chromaticity = [0.3127, 0.329];

/** The ACES white, near D60 (ST 2065-1:2021, clause 4). */
export const ACES_WHITE: Chromaticity = [0.32168, 0.33767];

/**
 * RP 177:1993: each primary is scaled so that their sum is the white. Throws RangeError for primaries on one
 * line.
 */
export function gamutFromPrimaries<const Name extends string>(primaries: Primaries<Name>): Gamut<Name> {
  const { red, green, blue, white } = primaries;
  // Columns x, y, z rather than X/Y, 1, Z/Y: AP0's red and the camera gamuts have y near 0 or below, which
  // must not be a divisor.
  const columns = transpose3([withZ(red), withZ(green), withZ(blue)]);
  const rgbToXyz = multiply3(columns, diagonal3(transform3(invert3(columns), xyzOfChromaticity(white))));
  return { ...primaries, rgbToXyz, xyzToRgb: invert3(rgbToXyz) };
}

function withZ([x, y]: Chromaticity): readonly [number, number, number] {
  return [x, y, 1 - x - y];
}
