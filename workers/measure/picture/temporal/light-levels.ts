import { lumaLevels, maxCode } from '../../../../signal/quantise.js';
import {
  HLG_LIGHT_OF_REFERENCE_WHITE,
  REFERENCE_WHITE_NITS,
} from '../../../../signal/rendering/reference-levels.js';
import { BT709_OETF } from '../../../../signal/transfer/bt709.js';
import { HLG } from '../../../../signal/transfer/hlg.js';
import { PQ } from '../../../../signal/transfer/pq.js';
import { transferFunction } from '../../../../signal/transfer/transfer-functions.js';
import type { PictureMeaning } from '../plan/meaning.js';

type Coded = Pick<PictureMeaning, 'range' | 'transfer'>;

/** What the codes of Y', R', G' or B' mean for limits that the trade gives in signal of SDR. */
export interface LightLevels {
  /** Code of signal 0, and codes from black to white, which differences are told as shares of. */
  readonly zero: number;
  readonly range: number;
  /** Code of the light that this signal stands for in BT.709. */
  codeAt(level: number): number;
  /** Signal of a code, 0 black and 1 white, whose steps look about as large everywhere. */
  levelOf(code: number): number;
}

/**
 * Black, dark and one colour are limits of EBU QC in shares of an SDR signal. Scene light is coded otherwise:
 * 10.5 % of the PQ steps floats are read as is 0.38 of a diffuser, two times an 18 % grey card, and
 * 10.5 % of a camera log with black at 12.5 % lies below black. There a limit is the code of the light that
 * this much of a BT.709 signal is (item 1.2 of BT.709-6: 10.5 % is 0.024 of a diffuser). Black of PQ and HLG
 * is left as it is: 10.5 % is 0.38 cd/m2 of PQ, 1.2 of HLG's 1,000 and 0.45 of an SDR display's 100.
 *
 * How far apart levels lie is told in signal of SDR for all of them: 10.5 % of the codes of a camera log are
 * more than a stop, and of PQ at 100 cd/m2 two times the light: fog and snow would be of one colour.
 */
export function lightLevels(depth: number, meaning: Coded): LightLevels {
  const { black, white } = lumaLevels(depth, meaning.range);
  const range = white - black;
  const signalAt = (code: number): number => (code - black) / range;
  const signal = { zero: black, range, codeAt: (level: number) => black + level * range };
  const { transfer } = meaning;
  const known = transfer === null ? null : transferFunction(transfer);
  if (known?.family === 'pq') {
    return { ...signal, levelOf: (code) => displaySignalOf(PQ.eotf(signalAt(code))) };
  }
  if (known?.family === 'hlg') {
    const ofDiffuser = (code: number): number =>
      HLG.inverseOetf(signalAt(code)) / HLG_LIGHT_OF_REFERENCE_WHITE;
    return { ...signal, levelOf: (code) => signalOf(ofDiffuser(code)) };
  }
  if (known === null || known.referred !== 'scene' || known.family !== 'scene') {
    return { ...signal, levelOf: signalAt };
  }
  const [from, codes] = known.coding === 'full-code' ? [0, maxCode(depth)] : [black, range];
  const codeOf = (light: number): number => from + codes * known.oetf(light);
  const codeAt = (level: number): number => codeOf(BT709_OETF.inverseOetf(level));
  const levelOf = (code: number): number => signalOf(known.inverseOetf((code - from) / codes));
  // The codes of a camera log are even in stops: changes of them are told as they are.
  if (known.name !== 'linear' && known.name !== 'linear-pq') return { ...signal, codeAt, levelOf };
  return { zero: codeOf(0), range: codeOf(1) - codeOf(0), codeAt, levelOf };
}

/**
 * BT.709 signal of scene light; above a diffuser even in stops, at the slope BT.709 has there, as a shoulder
 * has it. Its power would tell a bright plate with a little grain for a picture.
 */
function signalOf(light: number): number {
  if (light <= 1) return BT709_OETF.oetf(light);
  return 1 + WHITE_SLOPE * Math.log(light);
}

/** Slope of BT.709 at white: 1.099 x 0.45. */
const WHITE_SLOPE = 1.099 * 0.45;

/** The same of light on a display, by the gamma of BT.1886 up to the reference white of BT.2408. */
function displaySignalOf(nits: number): number {
  const light = nits / REFERENCE_WHITE_NITS;
  return light <= 1 ? Math.max(0, light) ** (1 / GAMMA) : 1 + Math.log(light) / GAMMA;
}

/** ITU-R BT.1886, annex 1. */
const GAMMA = 2.4;
