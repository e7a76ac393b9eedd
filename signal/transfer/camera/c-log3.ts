import { linearBranch, logBranch } from '../branches.js';
import { type Branch, joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

/** The documents define these curves for light / 0.9: their 1.0 is a 90 % white card. */
export const SENSOR_WHITE = 0.9;

const GAIN = 0.36726845;
const SCALE = 14.98325 / SENSOR_WHITE;
const LIGHT_BREAK = 0.014 * SENSOR_WHITE;

const highlights = logBranch({ gain: GAIN, scale: SCALE, shift: 1, offset: 0.12240537 });
const toe = linearBranch(1.9754798 / SENSOR_WHITE, 0.12512219);
const belowBlack: Branch = {
  forward: (light) => -GAIN * Math.log10(1 - SCALE * light) + 0.12783901,
  inverse: (signal) => (1 - 10 ** ((0.12783901 - signal) / GAIN)) / SCALE,
};

/** Negative light: linear to -0.0126, then the log mirrored, as published. */
export const C_LOG3 = cameraLog(
  {
    name: 'C-Log3',
    title: 'C-Log3',
    source: 'C-Log gamma curves document v1.2 (2018), log 3',
    aliases: [],
    codePoint: null,
    primaries: 'C-Gamut',
    published: {
      light: [0, 14],
      mid: {
        light: 0.18,
        signal: 351 / 1023,
        tolerance: 0.5 / 1023,
        source: 'C-Log document v1.2: 18 % is code 351',
      },
      seam: 1e-6,
    },
  },
  joinBranches(LIGHT_BREAK, joinBranches(-LIGHT_BREAK, belowBlack, toe), highlights),
);
