import { type AdaptationName, adaptationMatrix } from '../adaptation.js';
import { type Matrix3, multiply3 } from '../matrix3.js';
import { gamut, type PrimariesName } from './gamuts.js';

/**
 * Linear RGB of one gamut to linear RGB of another. White goes to white: where the two whites differ (only
 * the ACES gamuts have one of their own) colours are adapted, by the method the gamut that is not ACES
 * states.
 *
 * That method differs between cameras: each published transform to ACES was computed with CAT02 or with
 * Bradford, and following another than its own moves saturated colours by about 1 %. The gamuts of the
 * standards state none; Bradford, the method of the ACES transforms to D65 displays, is used for them.
 *
 * @param method overrides the gamut's own adaptation.
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
