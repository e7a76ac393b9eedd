import { parseRational } from '../../signal/rational.js';
import { nominalRate } from '../../signal/timecode.js';
import type { PictureOrder } from './picture-codec.js';

/** Constant quality with a limit on the bit rate; the limit applies to two seconds. */
export function rateControl({ crf, maxBitRate }: PictureOrder['video'], usualCrf: number): string[] {
  return [
    ...['-crf', String(crf ?? usualCrf)],
    ...(maxBitRate === null ? [] : ['-maxrate', String(maxBitRate), '-bufsize', String(2 * maxBitRate)]),
  ];
}

/** A key frame every two seconds, for scrubbing through a proxy. */
export function keyframeInterval({ frameRate }: PictureOrder): number {
  const rate = parseRational(frameRate);
  return 2 * ((rate && nominalRate(rate)) ?? 25);
}

/** Bits per pixel at a constant quality: six steps of CRF halve or double those at CRF 23. */
export function qualityBitsPerPixel(atReference: number, { crf }: PictureOrder['video']): number {
  return atReference * 2 ** ((23 - (crf ?? 23)) / 6);
}
