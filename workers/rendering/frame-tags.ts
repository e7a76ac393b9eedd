import type { Colour } from '../../jobs/manifest/colour.js';
import { gamut } from '../../signal/gamut/gamuts.js';
import { transferFunction } from '../../signal/transfer/transfer-functions.js';
import type { MatrixName } from '../../signal/ycbcr.js';

/**
 * ffmpeg's names for the colour of a frame; `unknown` for camera colours, which have no code points in H.273.
 */
export interface FrameTags {
  readonly primaries: string;
  readonly transfer: string;
  readonly matrix: string;
  readonly range: 'tv' | 'pc';
}

/** BT.1886 is the display of a BT.709 picture and has no code point of its own: it is tagged bt709. */
export function frameTags({ primaries, transfer, matrix, range }: Colour): FrameTags {
  const tagged = transfer === 'bt1886' ? 'bt709' : transfer;
  return {
    primaries: gamut(primaries).codePoint === null ? 'unknown' : primaries,
    transfer: transferFunction(tagged).codePoint === null ? 'unknown' : tagged,
    matrix,
    range: range === 'narrow' ? 'tv' : 'pc',
  };
}

/** zscale's names of the matrices. */
export const ZSCALE_MATRIX: Readonly<Record<MatrixName, string>> = {
  bt709: '709',
  bt2020nc: '2020_ncl',
  smpte170m: '170m',
  bt470bg: '470bg',
  gbr: 'gbr',
};
