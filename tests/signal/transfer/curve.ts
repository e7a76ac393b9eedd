import { type TransferName, transferFunction } from '../../../signal/transfer/transfer-functions.js';

/** Both kinds of curve under the same two names, for tests that go through all of them. */
export interface Curve {
  readonly toSignal: (light: number) => number;
  readonly toLight: (signal: number) => number;
}

export function curveOf(name: TransferName): Curve {
  const curve = transferFunction(name);
  return curve.referred === 'scene'
    ? { toSignal: curve.oetf, toLight: curve.inverseOetf }
    : { toSignal: curve.inverseEotf, toLight: curve.eotf };
}
