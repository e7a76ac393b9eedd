import { byName } from '../named.js';
import { BT709_OETF } from './bt709.js';
import { BT1886 } from './bt1886.js';
import { BT2020_10_OETF, BT2020_12_OETF } from './bt2020.js';
import { ACESCCT } from './camera/acescct.js';
import { C_LOG2 } from './camera/c-log2.js';
import { C_LOG3 } from './camera/c-log3.js';
import { F_LOG } from './camera/f-log.js';
import { F_LOG2 } from './camera/f-log2.js';
import { LINEAR_PQ } from './camera/linear-pq.js';
import { LOG3G10 } from './camera/log3g10.js';
import { LOGC3 } from './camera/logc3.js';
import { LOGC4 } from './camera/logc4.js';
import { N_LOG } from './camera/n-log.js';
import { S_LOG3 } from './camera/s-log3.js';
import { V_LOG } from './camera/v-log.js';
import { HLG } from './hlg.js';
import { LINEAR } from './linear.js';
import { PQ } from './pq.js';
import { SMPTE170M_OETF } from './smpte170m.js';
import { SRGB } from './srgb.js';
import type { TransferFunction } from './transfer-function.js';

/** Every curve, in the order of lists. To add one: a file of its own and a line here. */
const CURVES = [
  BT709_OETF,
  SMPTE170M_OETF,
  BT2020_10_OETF,
  BT2020_12_OETF,
  BT1886,
  SRGB,
  LINEAR,
  PQ,
  HLG,
  S_LOG3,
  ACESCCT,
  LOGC3,
  LOGC4,
  V_LOG,
  C_LOG2,
  C_LOG3,
  F_LOG,
  F_LOG2,
  N_LOG,
  LOG3G10,
  LINEAR_PQ,
] as const;

export type TransferName = (typeof CURVES)[number]['name'];
export const TRANSFER_FUNCTIONS: readonly TransferFunction<TransferName>[] = CURVES;
export const TRANSFER_NAMES: readonly TransferName[] = CURVES.map(({ name }) => name);

/** The curve of a name. Total: every TransferName has one. */
export const transferFunction = byName<TransferName, TransferFunction<TransferName>>(TRANSFER_FUNCTIONS);

/**
 * Whether it is a camera log curve, whose pictures must be rendered before they are viewed.
 */
export function isCameraLog(name: TransferName): boolean {
  return transferFunction(name).coding === 'full-code';
}
