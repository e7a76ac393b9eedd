import type { PrimariesName } from './gamut/gamuts.js';
import type { TransferName } from './transfer/transfer-functions.js';
import type { MatrixName } from './ycbcr.js';

/** What the numbers of a picture mean, but for the range they are coded in. */
export interface SignalColour {
  readonly transfer: TransferName;
  readonly primaries: PrimariesName;
  readonly matrix: MatrixName;
}
