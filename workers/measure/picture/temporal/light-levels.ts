import { lumaLevels, maxCode } from '../../../../signal/quantise.js';
import { BT709_OETF } from '../../../../signal/transfer/bt709.js';
import type { SceneTransfer } from '../../../../signal/transfer/transfer-function.js';
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
 * this much of a BT.709 signal is (item 1.2 of BT.709-6: 10.5 % is 0.024 of a diffuser). PQ and HLG are left
 * as they are: 10.5 % is 0.38 cd/m2 of PQ, 1.2 of HLG's 1,000 and 0.45 of an SDR display's 100.
 */
export function lightLevels(depth: number, meaning: Coded): LightLevels {
  const { black, white } = lumaLevels(depth, meaning.range);
  const range = white - black;
  const signal = { zero: black, range, levelOf: (code: number) => (code - black) / range };
  const curve = sceneCurve(meaning);
  if (curve === null) return { ...signal, codeAt: (level) => black + level * range };
  const [from, codes] = curve.coding === 'full-code' ? [0, maxCode(depth)] : [black, range];
  const codeOf = (light: number): number => from + codes * curve.oetf(light);
  const codeAt = (level: number): number => codeOf(BT709_OETF.inverseOetf(level));
  // The codes of a camera log are even in stops: spans and changes of them are told as they are.
  if (curve.name !== 'linear' && curve.name !== 'linear-pq') return { ...signal, codeAt };
  const diffuser = codeOf(1) - codeOf(0);
  const levelOf = (code: number): number => signalOf(curve.inverseOetf((code - from) / codes));
  return { zero: codeOf(0), range: diffuser, codeAt, levelOf };
}

/** Null for a signal whose limits are shares of it: SDR, PQ, HLG, and where nothing is known. */
function sceneCurve({ transfer }: Coded): SceneTransfer | null {
  if (transfer === null) return null;
  const curve = transferFunction(transfer);
  return curve.referred === 'scene' && curve.family === 'scene' ? curve : null;
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
