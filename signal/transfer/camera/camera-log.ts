import type { TransferName } from '../../colour-names.js';
import { type Branch, holdFinite } from '../piecewise.js';
import type { SceneTransfer } from '../transfer-function.js';

/** A camera log curve: scene reflectance (0.18 = 18 % grey) to the fraction of full-scale code (code / (2^n - 1)). */
export function cameraLog(
  described: { readonly name: TransferName; readonly title: string; readonly source: string },
  curve: Branch,
): SceneTransfer {
  const { forward, inverse } = holdFinite(curve);
  return {
    ...described,
    referred: 'scene',
    linear: 'reflectance',
    coding: 'full-code',
    oetf: forward,
    inverseOetf: inverse,
  };
}
