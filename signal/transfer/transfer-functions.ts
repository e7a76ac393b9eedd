import type { TransferName } from '../colour-names.js';
import { BT709_OETF } from './bt709.js';
import { BT1886 } from './bt1886.js';
import { BT2020_10_OETF, BT2020_12_OETF } from './bt2020.js';
import { ACESCCT } from './camera/acescct.js';
import { C_LOG2 } from './camera/c-log2.js';
import { C_LOG3 } from './camera/c-log3.js';
import { F_LOG } from './camera/f-log.js';
import { F_LOG2 } from './camera/f-log2.js';
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

const TRANSFER_FUNCTIONS: Readonly<Record<TransferName, TransferFunction>> = {
  bt709: BT709_OETF,
  smpte170m: SMPTE170M_OETF,
  'bt2020-10': BT2020_10_OETF,
  'bt2020-12': BT2020_12_OETF,
  bt1886: BT1886,
  'iec61966-2-1': SRGB,
  linear: LINEAR,
  smpte2084: PQ,
  'arib-std-b67': HLG,
  'S-Log3': S_LOG3,
  ACEScct: ACESCCT,
  LogC3: LOGC3,
  LogC4: LOGC4,
  'V-Log': V_LOG,
  'C-Log2': C_LOG2,
  'C-Log3': C_LOG3,
  'F-Log': F_LOG,
  'F-Log2': F_LOG2,
  'N-Log': N_LOG,
  Log3G10: LOG3G10,
};

/** The curve of a name. Total: every TransferName has one. */
export function transferFunction(name: TransferName): TransferFunction {
  return TRANSFER_FUNCTIONS[name];
}
