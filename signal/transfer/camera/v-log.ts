import { linearBranch, logBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

const LIGHT_BREAK = 0.01;

/** Negative light: the linear toe continues. */
export const V_LOG = cameraLog(
  {
    name: 'V-Log',
    title: 'V-Log',
    source: 'V-Log/V-Gamut Reference Manual rev. 1.0 (2014), section 2.1',
    aliases: [],
    codePoint: null,
    primaries: 'V-Gamut',
    published: {
      light: [0, 46],
      mid: {
        light: 0.18,
        signal: 433 / 1023,
        tolerance: 0.5 / 1023,
        source: 'V-Log reference manual: 18 % is code 433',
      },
      seam: 1e-6,
    },
  },
  joinBranches(
    LIGHT_BREAK,
    linearBranch(5.6, 0.125),
    logBranch({ gain: 0.241514, scale: 1, shift: 0.00873, offset: 0.598206 }),
  ),
);
