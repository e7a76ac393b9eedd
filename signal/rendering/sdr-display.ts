import { BT1886 } from '../transfer/bt1886.js';
import { SRGB } from '../transfer/srgb.js';
import type { TransferName } from '../transfer/transfer-functions.js';
import type { Curve } from './step.js';

export interface SdrDisplay {
  readonly name: string;
  /** Signal (above 1 too) to light relative to white; and back. Black and below is 0. */
  readonly eotf: Curve;
  readonly inverseEotf: Curve;
}

/**
 * The display of an SDR signal. Television pictures are shown on BT.1886, whatever curve the camera had (as
 * BT.709-6 and BT.2020-2 say); sRGB has its own display.
 */
export function sdrDisplay(transfer: TransferName): SdrDisplay {
  return transfer === 'iec61966-2-1'
    ? { name: 'sRGB', eotf: SRGB_EOTF, inverseEotf: (light) => SRGB.inverseEotf(Math.max(light, 0)) }
    : { name: 'BT.1886', eotf: BT1886.eotf, inverseEotf: BT1886.inverseEotf };
}
const SRGB_EOTF: Curve = (signal) => SRGB.eotf(Math.max(signal, 0));
