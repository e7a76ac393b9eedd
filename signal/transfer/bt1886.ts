import { limitToFinite } from './piecewise.js';
import type { DisplayTransfer } from './transfer-function.js';

/** ITU-R BT.1886 (03/2011), Annex 1. */
const GAMMA = 2.4;

export interface Bt1886Display {
  /** Luminance of white (signal 1), above that of black. Any unit; the light side has the same. */
  readonly white: number;
  /** Luminance of black (signal 0), 0 or more. */
  readonly black: number;
}

/**
 * The EOTF of a display with a given white and black: `L = a max(V + b, 0)^2.4`. Signals below -b are black
 * (the formula's own limit); the inverse treats light below 0 as 0. Throws RangeError for an impossible
 * display.
 */
export function bt1886Eotf({ white, black }: Bt1886Display): Pick<DisplayTransfer, 'eotf' | 'inverseEotf'> {
  if (!(black >= 0 && white > black && Number.isFinite(white))) {
    throw new RangeError(
      `a display with white ${white} and black ${black}: white must lie above black, black at 0 or more`,
    );
  }
  const whiteRoot = white ** (1 / GAMMA);
  const blackRoot = black ** (1 / GAMMA);
  const a = (whiteRoot - blackRoot) ** GAMMA;
  const b = blackRoot / (whiteRoot - blackRoot);
  const { forward, inverse } = limitToFinite({
    forward: (light) => (Math.max(light, 0) / a) ** (1 / GAMMA) - b,
    inverse: (signal) => a * Math.max(signal + b, 0) ** GAMMA,
  });
  return { eotf: inverse, inverseEotf: forward };
}

/** Light relative to white, on a display with black at 0. */
export const BT1886 = {
  name: 'bt1886',
  title: 'BT.1886 EOTF',
  source: 'ITU-R BT.1886 (03/2011), Annex 1, white 1, black 0',
  aliases: ['Rec.1886'],
  codePoint: null,
  primaries: 'bt709',
  published: {
    light: [0, 1],
    mid: { light: 0.1894646, signal: 0.5, tolerance: 1e-7, source: 'BT.1886 Annex 1: 0.5^2.4' },
  },
  family: 'sdr',
  referred: 'display',
  linear: 'display-normalised',
  coding: 'narrow',
  ...bt1886Eotf({ white: 1, black: 0 }),
} as const satisfies DisplayTransfer;
