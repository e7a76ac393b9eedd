import { type Film, GREY } from './flash-films.js';

/** Brightness of a pixel, signal 0 to 1, at a time in frames. */
export type Scene = (x: number, y: number, frame: number) => number;

/** 256x144: 32 by 18 cells of 8 pixels. */
export const SHAPE: Film['shape'] = { ...GREY, width: 256, height: 144 };

/** A film of grey as the scene draws it, 10 bits narrow. */
export function filmOf(scene: Scene, frames: number, rate: string): Film {
  const { width, height } = SHAPE;
  const codeOf = (signal: number): number => Math.round(64 + 876 * Math.min(Math.max(signal, 0), 1));
  const draw = (frame: number): number[] => {
    const codes = new Array<number>(width * height);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) codes[y * width + x] = codeOf(scene(x, y, frame));
    }
    return codes;
  };
  return { shape: SHAPE, rate, frames: Array.from({ length: frames }, (_, frame) => [draw(frame)]) };
}

/** A number from 0 to 1 for whole coordinates, always the same for the same ones. */
export function chance(x: number, y: number, seed: number): number {
  let h = (x * 374_761_393 + y * 668_265_263 + seed * 2_147_483_647) | 0;
  h = Math.imul(h ^ (h >>> 13), 1_274_126_177);
  h = Math.imul(h ^ (h >>> 16), 2_246_822_507);
  return ((h ^ (h >>> 15)) >>> 0) / 2 ** 32;
}

const smooth = (t: number): number => t * t * (3 - 2 * t);

/** Soft blobs of about `size` pixels, 0 to 1. */
export function blobs(size: number, seed: number): (x: number, y: number) => number {
  return (x, y) => {
    const [u, v] = [x / size, y / size];
    const [i, j] = [Math.floor(u), Math.floor(v)];
    const [s, t] = [smooth(u - i), smooth(v - j)];
    const top = chance(i, j, seed) * (1 - s) + chance(i + 1, j, seed) * s;
    const bottom = chance(i, j + 1, seed) * (1 - s) + chance(i + 1, j + 1, seed) * s;
    return top * (1 - t) + bottom * t;
  };
}

/**
 * Where a camera in a hand has got to by a frame: a mean speed, with a tremor of two or three hertz (from
 * memory).
 */
export function handHeld(speed: number, tremor: number, seed: number): (frame: number) => number {
  const sway = blobs(9, seed);
  return (frame) => speed * frame + tremor * (sway(frame, 0) - 0.5);
}

/** Rows of tiles, each a little brighter or darker, with dark gaps. */
export function tiles(width: number, height: number, seed: number): (x: number, y: number) => number {
  return (x, y) => {
    const row = Math.floor(y / height);
    const along = x / width + 0.5 * (row % 2);
    const column = Math.floor(along);
    const [u, v] = [along - column, y / height - row];
    const gap = Math.min(u, 1 - u) * width < 2 || v * height < height / 3;
    return gap ? 0.12 : 0.62 + 0.25 * chance(column, row, seed);
  };
}

/** Upright bars, half bright and half dark. */
export const bars =
  (width: number) =>
  (x: number): number =>
    0.45 + 0.4 * Math.max(-1, Math.min(1, 4 * Math.cos((2 * Math.PI * x) / width)));
