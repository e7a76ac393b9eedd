import type { PrimariesName } from '../colour-names.js';
import { AP0 } from './ap0.js';
import { AP1 } from './ap1.js';
import { BT470BG } from './bt470bg.js';
import { BT709 } from './bt709.js';
import { BT2020 } from './bt2020.js';
import { AWG3 } from './camera/awg3.js';
import { AWG4 } from './camera/awg4.js';
import { C_GAMUT } from './camera/c-gamut.js';
import { F_GAMUT } from './camera/f-gamut.js';
import { N_GAMUT } from './camera/n-gamut.js';
import { RWG } from './camera/rwg.js';
import { S_GAMUT3 } from './camera/s-gamut3.js';
import { S_GAMUT3_CINE } from './camera/s-gamut3-cine.js';
import { V_GAMUT } from './camera/v-gamut.js';
import type { Gamut } from './gamut.js';
import { SMPTE170M } from './smpte170m.js';
import { SMPTE432 } from './smpte432.js';

const GAMUTS: Readonly<Record<PrimariesName, Gamut>> = {
  bt709: BT709,
  smpte170m: SMPTE170M,
  bt470bg: BT470BG,
  bt2020: BT2020,
  smpte432: SMPTE432,
  AP0,
  AP1,
  'S-Gamut3': S_GAMUT3,
  'S-Gamut3.Cine': S_GAMUT3_CINE,
  AWG3,
  AWG4,
  'V-Gamut': V_GAMUT,
  'C-Gamut': C_GAMUT,
  'F-Gamut': F_GAMUT,
  'N-Gamut': N_GAMUT,
  RWG,
};

/** Chromaticities and matrices of a set of primaries. Total: every PrimariesName has one. */
export function gamut(name: PrimariesName): Gamut {
  return GAMUTS[name];
}
