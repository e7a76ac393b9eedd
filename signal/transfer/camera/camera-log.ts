import { type Branch, limitToFinite } from '../piecewise.js';
import type { Described, SceneTransfer } from '../transfer-function.js';

/**
 * A camera log curve: scene reflectance (0.18 = 18 % grey) to the fraction of full-scale code (code / (2^n -
 * 1)).
 */
export function cameraLog<const Name extends string>(
  described: Described<Name>,
  curve: Branch,
): SceneTransfer<Name> {
  const { forward, inverse } = limitToFinite(curve);
  return {
    ...described,
    family: 'scene',
    referred: 'scene',
    linear: 'reflectance',
    coding: 'full-code',
    oetf: forward,
    inverseOetf: inverse,
  };
}
