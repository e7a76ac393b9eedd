import { linearBranch, logBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

/**
 * The scene-exposure form at exposure index 800. Other indices have other constants and are not this curve.
 */
const LIGHT_BREAK = 0.010591;

/** Negative light: the linear toe continues. */
export const LOGC3 = cameraLog(
  {
    name: 'LogC3',
    title: 'LogC3, EI 800',
    source: 'LogC3 white paper, Log C Curve: Usage in VFX (2017), parameters for SUP 3.x at EI 800',
    aliases: [],
    codePoint: null,
    primaries: 'AWG3',
    published: {
      light: [0, 55],
      mid: {
        light: 0.18,
        signal: 0.391007,
        tolerance: 5e-7,
        source: 'LogC3 white paper: 18 % is 0.391007 (code 400)',
      },
      seam: 2e-6,
    },
  },
  joinBranches(
    LIGHT_BREAK,
    linearBranch(5.367655, 0.092809),
    logBranch({ gain: 0.24719, scale: 5.555556, shift: 0.052272, offset: 0.385537 }),
  ),
);
