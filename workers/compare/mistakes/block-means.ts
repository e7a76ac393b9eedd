import type { FramePlanes, Plane } from '../pairs/frame-planes.js';
import type { Codes } from './colour-samples.js';
import { sampledRows } from './mistake.js';

/**
 * Levels and colours are told by means of blocks of this size, in luma samples: errors of detail by coding
 * are not in them. Lossy copies that are right keep them to a fraction of a code.
 */
export const BLOCK = 8;

export function blockMean(
  { width, codes }: Plane,
  left: number,
  top: number,
  across = BLOCK,
  down = BLOCK,
): number {
  let sum = 0;
  for (let y = top; y < top + down; y++) {
    for (let i = y * width + left; i < y * width + left + across; i++) sum += codes[i] ?? 0;
  }
  return sum / (across * down);
}

/** Calls back for blocks spread over a frame with the means of all three planes of both sides. */
export function forEachBlock(
  original: FramePlanes,
  copy: FramePlanes,
  see: (original: Readonly<Codes>, copy: Readonly<Codes>) => void,
): void {
  const [luma, chroma] = original;
  if (luma === undefined || chroma === undefined) return;
  const [across, down] = [Math.round(luma.width / chroma.width), Math.round(luma.height / chroma.height)];
  const means = (planes: FramePlanes, x: number, y: number): Codes => {
    const mean = (index: number, byX: number, byY: number): number => {
      const plane = planes[index];
      return plane === undefined ? 0 : blockMean(plane, x / byX, y / byY, BLOCK / byX, BLOCK / byY);
    };
    return [mean(0, 1, 1), mean(1, across, down), mean(2, across, down)];
  };
  for (const y of sampledRows(luma.width, luma.height, BLOCK)) {
    for (let x = 0; x + BLOCK <= luma.width; x += BLOCK) see(means(original, x, y), means(copy, x, y));
  }
}
