import { type AdaptationName, adaptationMatrix } from '../adaptation.js';
import { type Matrix3, multiply3 } from '../matrix3.js';
import { gamut, type PrimariesName } from './gamuts.js';

/**
 * Linear RGB of one gamut to linear RGB of another. White maps to white: where the two whites differ (only
 * the ACES gamuts have another one) colours are adapted, by the method of the gamut that is not ACES.
 *
 * The method differs between cameras: each published transform to ACES uses CAT02 or Bradford, and the wrong
 * one shifts saturated colours by about 1 %. The gamuts of the standards define none; for them Bradford is
 * used, as in the ACES transforms to D65 displays.
 *
 * @param method overrides the method of the gamut.
 */
export function rgbToRgbMatrix(from: PrimariesName, to: PrimariesName, method?: AdaptationName): Matrix3 {
  const source = gamut(from);
  const destination = gamut(to);
  const [fromX, fromY] = source.white;
  const [toX, toY] = destination.white;
  if (fromX === toX && fromY === toY) return multiply3(destination.xyzToRgb, source.rgbToXyz);
  const adaptation = method ?? source.adaptation ?? destination.adaptation ?? 'bradford';
  const adapted = multiply3(adaptationMatrix(source.white, destination.white, adaptation), source.rgbToXyz);
  return multiply3(destination.xyzToRgb, adapted);
}
