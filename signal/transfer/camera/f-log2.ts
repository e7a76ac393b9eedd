import { linearBranch, logBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

const LIGHT_BREAK = 0.000889;

/** Negative light: the linear toe continues. */
export const F_LOG2 = cameraLog(
  {
    name: 'F-Log2',
    title: 'F-Log2',
    source: 'F-Log2 Data Sheet v1.0, section 3',
    aliases: [],
    codePoint: null,
    primaries: 'F-Gamut',
    published: {
      light: [0, 58],
      mid: {
        light: 0.18,
        signal: 400 / 1023,
        tolerance: 0.5 / 1023,
        source: 'F-Log2 Data Sheet: 18 % is code 400',
      },
      seam: 1e-4,
    },
  },
  joinBranches(
    LIGHT_BREAK,
    linearBranch(8.799461, 0.092864),
    logBranch({ gain: 0.245281, scale: 5.555556, shift: 0.064829, offset: 0.384316 }),
  ),
);
