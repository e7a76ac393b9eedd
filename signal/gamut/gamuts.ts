import { byName } from '../named.js';
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

/**
 * Every set of primaries, in the order of lists. To add one: a file of its own and a line here.
 */
const SETS = [
  BT709,
  SMPTE170M,
  BT470BG,
  BT2020,
  SMPTE432,
  AP0,
  AP1,
  S_GAMUT3,
  S_GAMUT3_CINE,
  AWG3,
  AWG4,
  V_GAMUT,
  C_GAMUT,
  F_GAMUT,
  N_GAMUT,
  RWG,
] as const;

export type PrimariesName = (typeof SETS)[number]['name'];
export const GAMUTS: readonly Gamut<PrimariesName>[] = SETS;
export const PRIMARIES_NAMES: readonly PrimariesName[] = SETS.map(({ name }) => name);

/** Chromaticities and matrices of a set of primaries. Total: every PrimariesName has one. */
export const gamut = byName<PrimariesName, Gamut<PrimariesName>>(GAMUTS);
