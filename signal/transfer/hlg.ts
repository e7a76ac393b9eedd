import { joinBranches, limitToFinite, mirrorNegative } from './piecewise.js';
import type { SceneTransfer } from './transfer-function.js';

/**
 * ITU-R BT.2100-3 (02/2025), Table 5. b and c are defined by a; the printed 0.28466892 and 0.55991073 round
 * them.
 */
const A = 0.17883277;
const B = 1 - 4 * A;
const C = 0.5 - A * Math.log(4 * A);
const LIGHT_BREAK = 1 / 12;

const curve = limitToFinite(
  mirrorNegative(
    joinBranches(
      LIGHT_BREAK,
      {
        forward: (light) => Math.sqrt(3 * Math.max(light, 0)),
        inverse: (signal) => signal ** 2 / 3,
      },
      {
        forward: (light) => A * Math.log(12 * light - B) + C,
        inverse: (signal) => (Math.exp((signal - C) / A) + B) / 12,
      },
    ),
  ),
);

/**
 * The camera side of HLG: scene light 0..1 to signal. The display side is another function, of all three
 * channels together: hlg-ootf.ts. Negative light is mirrored about black (not defined by the standard); above
 * 1 the log continues, into the codes above nominal peak.
 */
export const HLG = {
  name: 'arib-std-b67',
  title: 'HLG OETF',
  source: 'ITU-R BT.2100-3 (02/2025), Table 5',
  aliases: ['HLG', 'Hybrid Log-Gamma'],
  codePoint: 18,
  primaries: 'bt2020',
  published: {
    light: [0, 1],
    mid: {
      light: 1 / 12,
      signal: 0.5,
      tolerance: 1e-12,
      source: 'BT.2100-3 Table 5: the break, 1/12 -> 0.5',
    },
  },
  family: 'hlg',
  referred: 'scene',
  linear: 'scene-normalised',
  coding: 'narrow',
  oetf: curve.forward,
  inverseOetf: curve.inverse,
} as const satisfies SceneTransfer;
