import { linearBranch, logBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

/** Code values at 10 bits, as in the document: black, 18 % grey, and the code at the break. */
const FULL_SCALE = 1023;
const CODE_BLACK = 95;
const CODE_GREY = 420;
const CODE_BREAK = 171.2102946929;
const LIGHT_BREAK = 0.01125;
/** 261.5 codes for each factor of ten of light. */
const CODES_PER_DECADE = 261.5;
const GREY = 0.18;
const FLARE = 0.01;

/** Negative light: the linear toe continues. */
export const S_LOG3 = cameraLog(
  {
    name: 'S-Log3',
    title: 'S-Log3',
    source: 'Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3, Appendix (curve formulas)',
    aliases: [],
    codePoint: null,
    primaries: 'S-Gamut3.Cine',
    published: {
      light: [0, 38],
      mid: {
        light: 0.18,
        signal: 420 / 1023,
        tolerance: 1e-12,
        source: 'Technical Summary S-Gamut3/S-Log3: 18 % is code 420',
      },
    },
  },
  joinBranches(
    LIGHT_BREAK,
    linearBranch((CODE_BREAK - CODE_BLACK) / LIGHT_BREAK / FULL_SCALE, CODE_BLACK / FULL_SCALE),
    logBranch({
      gain: CODES_PER_DECADE / FULL_SCALE,
      scale: 1 / (GREY + FLARE),
      shift: FLARE / (GREY + FLARE),
      offset: CODE_GREY / FULL_SCALE,
    }),
  ),
);
