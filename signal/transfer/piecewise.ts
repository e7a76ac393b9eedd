/** A rising function of one variable with its inverse. */
export interface Branch {
  readonly forward: (light: number) => number;
  readonly inverse: (signal: number) => number;
}

/**
 * Joins two published branches at a published break on the light side: `below` it, and from it on.
 *
 * Printed constants are rounded, so the branches do not meet exactly: some leave a small step (BT.709:
 * 2.5e-4), some overlap (by 1e-7), and some documents print a break for the inverse that is off by as much.
 * Taken literally such a pair is not monotone, and the inverse is not exact. Here the upper branch takes
 * precedence at the break: the lower one never exceeds it, and the inverse changes branch at exactly the same
 * signal.
 */
export function joinBranches(breakLight: number, below: Branch, above: Branch): Branch {
  const breakSignal = above.forward(breakLight);
  return {
    forward: (light) =>
      light < breakLight ? Math.min(below.forward(light), breakSignal) : above.forward(light),
    inverse: (signal) =>
      signal < breakSignal ? Math.min(below.inverse(signal), breakLight) : above.inverse(signal),
  };
}

/** The same curve for negative values, mirrored about the origin. `curve` must map 0 to 0. */
export function mirrorNegative(curve: Branch): Branch {
  return {
    forward: (light) => (light < 0 ? -curve.forward(-light) : curve.forward(light)),
    inverse: (signal) => (signal < 0 ? -curve.inverse(-signal) : curve.inverse(signal)),
  };
}

/**
 * Light beyond this does not occur in pictures (18 % grey is 0.18; the largest half float is 65,504). The
 * limit keeps exponentials finite for every finite signal.
 */
const LIGHT_LIMIT = 1e12;

/** `curve` with light limited, and signal limited to the code of that light. */
export function limitToFinite(curve: Branch): Branch {
  const lowest = curve.forward(-LIGHT_LIMIT);
  const highest = curve.forward(LIGHT_LIMIT);
  return {
    forward: (light) => curve.forward(limit(light, -LIGHT_LIMIT, LIGHT_LIMIT)),
    inverse: (signal) => limit(curve.inverse(limit(signal, lowest, highest)), -LIGHT_LIMIT, LIGHT_LIMIT),
  };
}

function limit(value: number, lowest: number, highest: number): number {
  return Math.min(Math.max(value, lowest), highest);
}
