import { logBranch } from '../branches.js';
import { type Branch, joinBranches } from '../piecewise.js';
import { SENSOR_WHITE } from './c-log3.js';
import { cameraLog } from './camera-log.js';

const GAIN = 0.24136077;
const SCALE = 87.099375 / SENSOR_WHITE;
const OFFSET = 0.092864125;

const aboveBlack = logBranch({ gain: GAIN, scale: SCALE, shift: 1, offset: OFFSET });
const belowBlack: Branch = {
  forward: (light) => 2 * OFFSET - aboveBlack.forward(-light),
  inverse: (signal) => -aboveBlack.inverse(2 * OFFSET - signal),
};

/** Negative light: mirrored about (0, OFFSET), as published. */
export const C_LOG2 = cameraLog(
  {
    name: 'C-Log2',
    title: 'C-Log2',
    source: 'C-Log gamma curves document v1.2 (2018), log 2; constants from memory, verified independently',
    aliases: [],
    codePoint: null,
    primaries: 'C-Gamut',
    published: {
      light: [0, 59],
      mid: { light: 0.4920826, signal: 0.5, tolerance: 1e-7, source: 'OpenColorIO 2.1.2: decode of 0.5' },
    },
  },
  joinBranches(0, belowBlack, aboveBlack),
);
