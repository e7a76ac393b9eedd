import type { ColourTags, ScanName } from '../../jobs/manifest/colour.js';
import { formatRational, rational } from '../../signal/rational.js';

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
  if (!hasHeader(frame)) return silent;
  return {
    primaries: PRIMARIES[frame.readUInt8(HEADER + 14)] ?? null,
    transfer: TRANSFERS[frame.readUInt8(HEADER + 15)] ?? null,
    matrix: MATRICES[frame.readUInt8(HEADER + 16)] ?? null,
    range: null,
  };
}

/** Width and height of the whole frame, both fields together. */
export function proresFrameRaster(frame: Buffer): { width: number; height: number } | null {
  if (!hasHeader(frame)) return null;
  return { width: frame.readUInt16BE(HEADER + 8), height: frame.readUInt16BE(HEADER + 10) };
}

/** Where the frame header begins: after frame size and `icpf`. */
const HEADER = 8;

function hasHeader(frame: Buffer): boolean {
  return frame.length >= HEADER + 20 && frame.toString('latin1', 4, 8) === 'icpf';
}

/** `interlace_mode`: 0 progressive, 1 top field first, 2 bottom field first; 3 is reserved (RDD 36, from memory). */
export function proresFrameScan(frame: Buffer): ScanName | null {
  if (!hasHeader(frame)) return null;
  const modes: readonly ScanName[] = ['progressive', 'interlaced-tff', 'interlaced-bff'];
  return modes[(frame.readUInt8(HEADER + 12) >> 2) & 0b11] ?? null;
}

/**
 * `aspect_ratio_information`: 0 says nothing, 1 square samples, 2 and 3 a picture of 4:3 or 16:9, from which the aspect of
 * a sample follows by the size of the picture (RDD 36, from memory).
 */
export function proresFrameAspect(frame: Buffer): string | null {
  if (!hasHeader(frame)) return null;
  const code = frame.readUInt8(HEADER + 13) >> 4;
  const [width, height] = [frame.readUInt16BE(HEADER + 8), frame.readUInt16BE(HEADER + 10)];
  if (code === 1) return '1/1';
  const picture = code === 2 ? rational(4, 3) : code === 3 ? rational(16, 9) : null;
  if (picture === null || width === 0 || height === 0) return null;
  return formatRational(rational(picture.num * height, picture.den * width));
}
