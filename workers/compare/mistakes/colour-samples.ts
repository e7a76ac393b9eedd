import type { FramePlanes, Plane } from '../pairs/frame-planes.js';
import { sampledLines } from './mistake.js';

/** Codes of the three planes at one place. */
export type Codes = [number, number, number];

/**
 * Calls back for sampled places of a frame with the codes of all three planes of both sides there. Where
 * chroma is subsampled a place is a chroma sample, and its Y' the mean of the samples that share it: what
 * mixes the planes linearly mixes the means alike. Nothing is called for a picture of Y' alone.
 */
export function forEachColour(
  original: FramePlanes,
  copy: FramePlanes,
  see: (original: Readonly<Codes>, copy: Readonly<Codes>) => void,
): void {
  const [o0, o1, o2] = original;
  const [c0, c1, c2] = copy;
  if (o0 === undefined || o1 === undefined || o2 === undefined) return;
  if (c0 === undefined || c1 === undefined || c2 === undefined) return;
  const { width, height } = o1;
  const [across, down] = [Math.round(o0.width / width), Math.round(o0.height / height)];
  const [o, c]: [Codes, Codes] = [
    [0, 0, 0],
    [0, 0, 0],
  ];
  for (const y of sampledLines(width, height)) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      o[0] = meanAt(o0, x * across, y * down, across, down);
      c[0] = meanAt(c0, x * across, y * down, across, down);
      o[1] = o1.codes[i] ?? 0;
      c[1] = c1.codes[i] ?? 0;
      o[2] = o2.codes[i] ?? 0;
      c[2] = c2.codes[i] ?? 0;
      see(o, c);
    }
  }
}

function meanAt(plane: Plane, left: number, top: number, across: number, down: number): number {
  if (across === 1 && down === 1) return plane.codes[top * plane.width + left] ?? 0;
  let [sum, samples] = [0, 0];
  for (let y = top; y < Math.min(plane.height, top + down); y++) {
    for (let x = left; x < Math.min(plane.width, left + across); x++) {
      sum += plane.codes[y * plane.width + x] ?? 0;
      samples++;
    }
  }
  return samples === 0 ? 0 : sum / samples;
}
