import { linearBranch, logBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

const LIGHT_BREAK = 0.00089;

/** Negative light: the linear toe continues. */
export const F_LOG = cameraLog(
  {
    name: 'F-Log',
    title: 'F-Log',
    source: 'F-Log Data Sheet v1.0, section 3',
    aliases: [],
    codePoint: null,
    primaries: 'F-Gamut',
    published: {
      light: [0, 7.2],
      mid: {
        light: 0.18,
        signal: 470 / 1023,
        tolerance: 0.5 / 1023,
        source: 'F-Log Data Sheet: 18 % is code 470',
      },
      // At the break the printed toe is 1.02e-4 above the printed log: light of 1.02e-4 / 8.7 is coded twice.
      plateau: 1.2e-5,
    },
  },
  joinBranches(
    LIGHT_BREAK,
    linearBranch(8.735631, 0.092864),
    logBranch({ gain: 0.344676, scale: 0.555556, shift: 0.009468, offset: 0.790453 }),
  ),
);
