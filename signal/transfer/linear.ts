import type { SceneTransfer } from './transfer-function.js';

/** Signal is light. Read as scene light, because that is what linear pictures on a set hold. */
export const LINEAR: SceneTransfer = {
  name: 'linear',
  title: 'Linear',
  source: 'ITU-T H.273 (07/2024), Table 3, value 8',
  referred: 'scene',
  linear: 'reflectance',
  coding: 'narrow',
  oetf: (light) => light,
  inverseOetf: (signal) => signal,
};
