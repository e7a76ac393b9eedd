import type { PrimariesName } from './gamut/gamuts.js';
import type { TransferName } from './transfer/transfer-functions.js';
import type { MatrixName } from './ycbcr.js';

/** Colour of a picture, without the quantisation range. */
export interface SignalColour {
  readonly transfer: TransferName;
  readonly primaries: PrimariesName;
  readonly matrix: MatrixName;
}
