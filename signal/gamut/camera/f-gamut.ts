import { BT2020 } from '../bt2020.js';
import type { Gamut } from '../gamut.js';

/** The primaries of BT.2020, under the name of the camera. */
export const F_GAMUT = {
  ...BT2020,
  name: 'F-Gamut',
  title: 'F-Gamut',
  source: 'F-Log Data Sheet v1.0, section 2: F-Gamut is the colour space of ITU-R BT.2020',
  aliases: [],
  codePoint: null,
} as const satisfies Gamut;
