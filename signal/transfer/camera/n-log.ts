import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

/** Code values at 10 bits, as in the document. */
const FULL_SCALE = 1023;
const LIGHT_BREAK = 0.328;
const TOE_CODES = 650;
const TOE_SHIFT = 0.0075;
const LOG_CODES = 150;
const LOG_OFFSET = 619;

/**
 * Light below -0.0075 (signal below 0): the cube root is mirrored about that point. The printed break of the
 * inverse is code 452; the branches meet at 451.8, which is used instead: no 10-bit code is affected.
 */
export const N_LOG = cameraLog(
  {
    name: 'N-Log',
    title: 'N-Log',
    source: 'N-Log Specification Document v1.0.0, section 2',
    aliases: [],
    codePoint: null,
    primaries: 'N-Gamut',
    published: {
      light: [-0.0075, 14.8],
      mid: {
        light: 0.18,
        signal: 0.363668,
        tolerance: 5e-7,
        source: 'N-Log specification: 18 % is 0.363668 (code 372)',
      },
      seam: 2e-4,
    },
  },
  joinBranches(
    LIGHT_BREAK,
    {
      forward: (light) => (TOE_CODES * Math.cbrt(light + TOE_SHIFT)) / FULL_SCALE,
      inverse: (signal) => ((signal * FULL_SCALE) / TOE_CODES) ** 3 - TOE_SHIFT,
    },
    {
      forward: (light) => (LOG_CODES * Math.log(light) + LOG_OFFSET) / FULL_SCALE,
      inverse: (signal) => Math.exp((signal * FULL_SCALE - LOG_OFFSET) / LOG_CODES),
    },
  ),
);
