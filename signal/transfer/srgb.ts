import { linearBranch } from './branches.js';
import { joinBranches, limitToFinite, mirrorNegative } from './piecewise.js';
import type { DisplayTransfer } from './transfer-function.js';

const LIGHT_BREAK = 0.0031308;
const TOE_SLOPE = 12.92;
const ALPHA = 1.055;
const EXPONENT = 2.4;

const curve = limitToFinite(
  mirrorNegative(
    joinBranches(LIGHT_BREAK, linearBranch(TOE_SLOPE, 0), {
      forward: (light) => ALPHA * light ** (1 / EXPONENT) - (ALPHA - 1),
      inverse: (signal) => ((signal + ALPHA - 1) / ALPHA) ** EXPONENT,
    }),
  ),
);

/**
 * Negative values: mirrored about black, as in Amendment 1 (Annex F) of the standard. The printed break of
 * the EOTF is 0.04045.
 */
export const SRGB = {
  name: 'iec61966-2-1',
  title: 'sRGB EOTF',
  source: 'IEC 61966-2-1:1999, clause 5.2, and Amendment 1 (2003)',
  aliases: ['sRGB'],
  codePoint: 13,
  primaries: 'bt709',
  published: {
    light: [0, 1],
    mid: {
      light: 0.214041,
      signal: 0.5,
      tolerance: 1e-6,
      source: 'IEC 61966-2-1 clause 5.2: signal 0.5 (from memory: 0.2140)',
    },
  },
  family: 'sdr',
  referred: 'display',
  linear: 'display-normalised',
  coding: 'narrow',
  eotf: curve.inverse,
  inverseEotf: curve.forward,
} as const satisfies DisplayTransfer;
