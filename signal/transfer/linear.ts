import type { SceneTransfer } from './transfer-function.js';

/** Signal is light, taken as scene light, which is usual for linear pictures in production. */
export const LINEAR = {
  name: 'linear',
  title: 'Linear',
  source: 'ITU-T H.273 (07/2024), Table 3, value 8',
  aliases: ['scene-linear'],
  codePoint: 8,
  primaries: null,
  published: {
    light: [0, 1],
    mid: { light: 0.18, signal: 0.18, tolerance: 0, source: 'H.273 Table 3, value 8' },
  },
  family: 'scene',
  referred: 'scene',
  linear: 'reflectance',
  coding: 'narrow',
  oetf: (light) => light,
  inverseOetf: (signal) => signal,
} as const satisfies SceneTransfer;
