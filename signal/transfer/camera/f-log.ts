import { linearBranch, logBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

const LIGHT_BREAK = 0.00089;

/** Negative light: the linear toe goes on. */
export const F_LOG = cameraLog(
  { name: 'F-Log', title: 'F-Log', source: 'F-Log Data Sheet v1.0, section 3' },
  joinBranches(
    LIGHT_BREAK,
    linearBranch(8.735631, 0.092864),
    logBranch({ gain: 0.344676, scale: 0.555556, shift: 0.009468, offset: 0.790453 }),
  ),
);
