import { linearBranch } from '../branches.js';
import { joinBranches } from '../piecewise.js';
import { cameraLog } from './camera-log.js';

const LIGHT_BREAK = 0.0078125;
const TOE_SLOPE = 10.5402377416545;
const TOE_OFFSET = 0.0729055341958355;
const STOPS_SHIFT = 9.72;
const STOPS_SPAN = 17.52;

/**
 * Negative light: the linear toe continues. The document limits the decoded value to 65,504 (half float);
 * here it is not limited, since only a file format needs that.
 */
export const ACESCCT = cameraLog(
  {
    name: 'ACEScct',
    title: 'ACEScct',
    source: 'ACES S-2016-001 (2016), clause 4.4',
    aliases: [],
    codePoint: null,
    primaries: 'AP1',
    published: {
      light: [0, 222],
      mid: { light: 0.18, signal: 0.4135884, tolerance: 5e-8, source: 'ACES S-2016-001: transcription' },
    },
  },
  joinBranches(LIGHT_BREAK, linearBranch(TOE_SLOPE, TOE_OFFSET), {
    forward: (light) => (Math.log2(light) + STOPS_SHIFT) / STOPS_SPAN,
    inverse: (signal) => 2 ** (signal * STOPS_SPAN - STOPS_SHIFT),
  }),
);
