import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

const A = (2 ** 18 - 16) / 117.45;
const B = (1023 - 95) / 1023;
const C = 95 / 1023;
/** Slope of the linear toe (light per signal) and the light whose signal is 0; both follow from A, B, C. */
const S = (7 * Math.LN2 * 2 ** (7 - (14 * C) / B)) / (A * B);
const T = (2 ** ((-14 * C) / B + 6) - 64) / A;

/** Negative light: the linear toe continues below light T (about -0.018), where signal is 0. */
export const LOGC4 = cameraLog(
  {
    name: 'LogC4',
    title: 'LogC4',
    source: 'LogC4 Logarithmic Color Space Specification (2022), section 2',
    aliases: [],
    codePoint: null,
    primaries: 'AWG4',
    published: {
      light: [-0.018, 469.8],
      mid: {
        light: 0.18,
        signal: 0.2783958,
        tolerance: 5e-8,
        source: 'LogC4 specification: 18 % is 0.2783958 (code 285)',
      },
    },
  },
  joinBranches(
    T,
    { forward: (light) => (light - T) / S, inverse: (signal) => signal * S + T },
    {
      forward: (light) => ((Math.log2(A * light + 64) - 6) / 14) * B + C,
      inverse: (signal) => (2 ** ((14 * (signal - C)) / B + 6) - 64) / A,
    },
  ),
);
