import { linearBranch, logBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

/** Added to light before the log, so that sensor noise below black is kept. */
const LIFT = 0.01;
const TOE_SLOPE = 15.1927;
const GAIN = 0.224282;
const SCALE = 155.975327;

/** Light below -0.01 (signal below 0): linear, as published. */
export const LOG3G10 = cameraLog(
  {
    name: 'Log3G10',
    title: 'Log3G10',
    source:
      'White paper on wide gamut RGB and Log3G10 (2017), section 3; from memory, verified independently',
    aliases: [],
    codePoint: null,
    primaries: 'RWG',
    published: {
      light: [-0.01, 184],
      mid: {
        light: 0.18,
        signal: 1 / 3,
        tolerance: 2e-6,
        source: 'Log3G10 white paper (from memory): mid grey at a third, 10 stops above it at 1',
      },
    },
  },
  joinBranches(
    -LIFT,
    linearBranch(TOE_SLOPE, TOE_SLOPE * LIFT),
    logBranch({ gain: GAIN, scale: SCALE, shift: SCALE * LIFT + 1, offset: 0 }),
  ),
);
