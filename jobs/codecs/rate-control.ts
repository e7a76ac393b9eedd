import { parseRational } from '../../signal/rational.js';
import { nominalRate } from '../../signal/timecode.js';
import type { PictureOrder } from './picture-codec.js';

/** Constant quality under a ceiling; the ceiling holds over two seconds. */
export function rateControl({ crf, maxBitRate }: PictureOrder['video'], usualCrf: number): string[] {
  return [
    ...['-crf', String(crf ?? usualCrf)],
    ...(maxBitRate === null ? [] : ['-maxrate', String(maxBitRate), '-bufsize', String(2 * maxBitRate)]),
  ];
}

/** A key frame every two seconds: a proxy is scrubbed through. */
export function keyframeInterval({ frameRate }: PictureOrder): number {
  const rate = parseRational(frameRate);
  return 2 * ((rate && nominalRate(rate)) ?? 25);
}

/** Bits of a pixel at a constant quality: six steps halve or double what the codec takes at 23. */
export function qualityBitsPerPixel(atReference: number, { crf }: PictureOrder['video']): number {
  return atReference * 2 ** ((23 - (crf ?? 23)) / 6);
}
