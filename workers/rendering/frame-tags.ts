import type { Colour } from '../../jobs/manifest/colour.js';
import type { MatrixName, PrimariesName, TransferName } from '../../signal/colour-names.js';

/** ffmpeg's words for what a frame's samples mean; `unknown` for camera colours, which H.273 has no code points for. */
export interface FrameTags {
  readonly primaries: string;
  readonly transfer: string;
  readonly matrix: string;
  readonly range: 'tv' | 'pc';
}

const TAGGED_PRIMARIES: ReadonlySet<PrimariesName> = new Set<PrimariesName>([
  'bt709',
  'smpte170m',
  'bt470bg',
  'bt2020',
  'smpte432',
]);
const TAGGED_TRANSFERS: ReadonlySet<TransferName> = new Set<TransferName>([
  'bt709',
  'smpte170m',
  'bt2020-10',
  'bt2020-12',
  'iec61966-2-1',
  'linear',
  'smpte2084',
  'arib-std-b67',
]);

/** BT.1886 is the display of a BT.709 picture and has no code point of its own: it is tagged bt709. */
export function frameTags({ primaries, transfer, matrix, range }: Colour): FrameTags {
  const tagged = transfer === 'bt1886' ? 'bt709' : transfer;
  return {
    primaries: TAGGED_PRIMARIES.has(primaries) ? primaries : 'unknown',
    transfer: TAGGED_TRANSFERS.has(tagged) ? tagged : 'unknown',
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
