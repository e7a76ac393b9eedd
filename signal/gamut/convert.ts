import { type AdaptationName, adaptationMatrix } from '../adaptation.js';
import type { PrimariesName } from '../colour-names.js';
import { type Matrix3, multiply3 } from '../matrix3.js';
import { gamut } from './gamuts.js';

/**
 * Linear RGB of one gamut to linear RGB of another. White goes to white: where the two whites differ (only the
 * ACES gamuts have one of their own) the colours are adapted.
 *
 * @param adaptation which adaptation, used only where the whites differ.
 */
export function rgbToRgbMatrix(
  from: PrimariesName,
  to: PrimariesName,
  adaptation: AdaptationName = 'bradford',
): Matrix3 {
  const source = gamut(from);
  const destination = gamut(to);
  const [fromX, fromY] = source.white;
  const [toX, toY] = destination.white;
  if (fromX === toX && fromY === toY) return multiply3(destination.xyzToRgb, source.rgbToXyz);
  const adapted = multiply3(adaptationMatrix(source.white, destination.white, adaptation), source.rgbToXyz);
  return multiply3(destination.xyzToRgb, adapted);
}
