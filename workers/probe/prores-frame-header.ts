import type { ColourTags } from '../../jobs/colour.js';

/**
 * Code points of ITU-T H.273 (tables 2, 3 and 4) that a ProRes frame header may carry, in ffmpeg's spelling.
 * From memory of SMPTE RDD 36:2015, tables of color_primaries, transfer_characteristic and matrix_coefficients;
 * code points as in H.273.
 */
const PRIMARIES: Readonly<Record<number, string>> = {
  1: 'bt709',
  5: 'bt470bg',
  6: 'smpte170m',
  9: 'bt2020',
  11: 'smpte431',
  12: 'smpte432',
};
const TRANSFERS: Readonly<Record<number, string>> = {
  1: 'bt709',
  16: 'smpte2084',
  18: 'arib-std-b67',
};
const MATRICES: Readonly<Record<number, string>> = { 1: 'bt709', 6: 'smpte170m', 9: 'bt2020nc' };

/**
 * Colour from the first bytes of a ProRes frame (RDD 36, 5.1: frame size, `icpf`, frame header). The header
 * has no range; ProRes Y'CbCr is narrow. Unknown and unspecified code points give null.
 */
export function proresFrameColour(frame: Buffer): ColourTags {
  const silent: ColourTags = { primaries: null, transfer: null, matrix: null, range: null };
  const header = 8;
  if (frame.length < header + 20 || frame.toString('latin1', 4, 8) !== 'icpf') return silent;
  return {
    primaries: PRIMARIES[frame.readUInt8(header + 14)] ?? null,
    transfer: TRANSFERS[frame.readUInt8(header + 15)] ?? null,
    matrix: MATRICES[frame.readUInt8(header + 16)] ?? null,
    range: null,
  };
}
