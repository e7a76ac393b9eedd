import { linearBranch } from './branches.js';
import { joinBranches, limitToFinite, mirrorNegative } from './piecewise.js';
import type { Described, SceneTransfer } from './transfer-function.js';

const EXPONENT = 0.45;
const TOE_SLOPE = 4.5;

/**
 * The camera curve BT.601, BT.709 and BT.2020 share: `4.5 L` below beta, `alpha L^0.45 - (alpha - 1)` from
 * there. The standards define it for light 0..1; above, the power function continues, and below it is
 * mirrored about black as in IEC 61966-2-4 (xvYCC), so that codes below black and above white survive a round
 * trip.
 */
export function bt709Shape<const Name extends string>(
  described: Described<Name>,
  { alpha, beta }: { readonly alpha: number; readonly beta: number },
): SceneTransfer<Name> {
  const curve = joinBranches(beta, linearBranch(TOE_SLOPE, 0), {
    forward: (light) => alpha * light ** EXPONENT - (alpha - 1),
    inverse: (signal) => ((signal + alpha - 1) / alpha) ** (1 / EXPONENT),
  });
  const { forward, inverse } = limitToFinite(mirrorNegative(curve));
  return {
    ...described,
    family: 'sdr',
    referred: 'scene',
    linear: 'reflectance',
    coding: 'narrow',
    oetf: forward,
    inverseOetf: inverse,
  };
}

/** BT.709-6 item 1.2; the same figures in BT.601-7 clause 2.6.4 and, for 10 bits, BT.2020-2 Table 4. */
export const BT709_CONSTANTS = { alpha: 1.099, beta: 0.018 } as const;
