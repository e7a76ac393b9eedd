import { BT2020 } from '../bt2020.js';
import type { Gamut } from '../gamut.js';

/** The primaries of BT.2020, under the name of the camera. */
export const N_GAMUT = {
  ...BT2020,
  name: 'N-Gamut',
  title: 'N-Gamut',
  source: 'N-Log Specification Document v1.0.0: the colour gamut of N-Log is that of ITU-R BT.2020',
  aliases: [],
  codePoint: null,
} as const satisfies Gamut;
