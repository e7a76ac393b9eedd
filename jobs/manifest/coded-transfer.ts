import type { TransferName } from '../../signal/transfer/transfer-functions.js';

/** Pictures of linear floats are read as codes of PQ steps (signal/transfer/camera/linear-pq.ts). */
export function codedTransfer<Name extends TransferName | null>(
  transfer: Name,
  pixelFormat: string,
): Name | 'linear-pq' {
  return transfer === 'linear' && /f32(le|be)$/.test(pixelFormat) ? 'linear-pq' : transfer;
}
