import type { ColourTags, ScanName } from '../../../jobs/manifest/colour.js';
import { formatRational, rational } from '../../../signal/rational.js';
import { tagsOfCodePoints } from './colour-code-points.js';

/**
 * Values of ITU-T H.273 that a ProRes frame header may have; others are reserved. From
 * memory of SMPTE RDD 36:2015, tables of color_primaries, transfer_characteristic and matrix_coefficients.
 */
const PRIMARIES: ReadonlySet<number> = new Set([1, 5, 6, 9, 11, 12]);
const TRANSFERS: ReadonlySet<number> = new Set([1, 16, 18]);
const MATRICES: ReadonlySet<number> = new Set([1, 6, 9]);
const UNSPECIFIED = 2;

/**
 * Colour from the first bytes of a ProRes frame (RDD 36, 5.1: frame size, `icpf`, frame header). The header
 * has no range; ProRes Y'CbCr is narrow. Unknown and unspecified code points give null.
 */
export function proresFrameColour(frame: Buffer): ColourTags {
  const silent: ColourTags = { primaries: null, transfer: null, matrix: null, range: null };
  if (!isProresFrame(frame)) return silent;
  const stated = (at: number, allowed: ReadonlySet<number>): number => {
    const value = frame.readUInt8(HEADER + at);
    return allowed.has(value) ? value : UNSPECIFIED;
  };
  return tagsOfCodePoints(stated(14, PRIMARIES), stated(15, TRANSFERS), stated(16, MATRICES), null);
}

/** Width and height of the whole frame, both fields together. */
export function proresFrameRaster(frame: Buffer): { width: number; height: number } | null {
  if (!isProresFrame(frame)) return null;
  return { width: frame.readUInt16BE(HEADER + 8), height: frame.readUInt16BE(HEADER + 10) };
}

/** Where the frame header begins: after frame size and `icpf`. */
const HEADER = 8;

/** Whether these are the first bytes of a frame. */
export function isProresFrame(frame: Buffer): boolean {
  return frame.length >= HEADER + 20 && frame.toString('latin1', 4, 8) === 'icpf';
}

/**
 * `interlace_mode`: 0 progressive, 1 top field first, 2 bottom field first; 3 is reserved (RDD 36, from
 * memory).
 */
export function proresFrameScan(frame: Buffer): ScanName | null {
  if (!isProresFrame(frame)) return null;
  const modes: readonly ScanName[] = ['progressive', 'interlaced-tff', 'interlaced-bff'];
  return modes[(frame.readUInt8(HEADER + 12) >> 2) & 0b11] ?? null;
}

/**
 * `aspect_ratio_information`: 0 unspecified, 1 square samples, 2 and 3 a picture of 4:3 or 16:9, from which
 * the aspect of a sample follows by the size of the picture (RDD 36, from memory).
 */
export function proresFrameAspect(frame: Buffer): string | null {
  if (!isProresFrame(frame)) return null;
  const code = frame.readUInt8(HEADER + 13) >> 4;
  const [width, height] = [frame.readUInt16BE(HEADER + 8), frame.readUInt16BE(HEADER + 10)];
  if (code === 1) return '1/1';
  const picture = code === 2 ? rational(4, 3) : code === 3 ? rational(16, 9) : null;
  if (picture === null || width === 0 || height === 0) return null;
  return formatRational(rational(picture.num * height, picture.den * width));
}
