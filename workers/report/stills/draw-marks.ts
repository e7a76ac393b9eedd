import type { Size } from './reduce.js';

/** The outline lies this far around what it marks, so that a single pixel stays visible in its middle. */
const REACH = 2;
/**
 * Spots with less than twice this between them are drawn as one area: noise at a limit would be nothing but
 * outlines.
 */
const JOIN = 6;
/** Distance of the hatch's lines, along a row. */
const HATCH = 14;
/** A single spot no larger than this gets a ring around it, in a picture large enough to lose it in. */
const SPOT = 24;
const LARGE = 160;
/** Between a spot and its ring. */
const RING_ROOM = 14;
const BLACK = 0;
const WHITE = 255;

/**
 * Marks an area in a picture so that it is seen without colour and on any ground: a white line around it, a
 * black one inside that, and thin diagonal lines, black beside white, across it. Spots that lie close
 * together get one outline; the lines lie on what is marked alone. A ring leads the eye to a single small
 * spot.
 *
 * @param rgb is changed: three codes a pixel
 * @param reach how far around it the outline lies
 */
export function drawMarks(rgb: Uint8Array, mask: Uint8Array, size: Size, reach = REACH): void {
  const around = shrinkBy(JOIN, dilate(mask, size, reach + JOIN), size);
  const inside = erode(around, size);
  const core = erode(inside, size);
  for (let y = 0; y < size.height; y++) {
    for (let x = 0; x < size.width; x++) {
      const at = y * size.width + x;
      if (around[at] === 0) continue;
      if (inside[at] === 0) paint(rgb, at, WHITE);
      else if (core[at] === 0) paint(rgb, at, BLACK);
      else if (mask[at] === 1) {
        const line = (x + y) % HATCH;
        if (line === 0) paint(rgb, at, WHITE);
        else if (line === 1) paint(rgb, at, BLACK);
      }
    }
  }
  drawRing(rgb, mask, size);
}

function drawRing(rgb: Uint8Array, mask: Uint8Array, { width, height }: Size): void {
  const [first, last] = [mask.indexOf(1), mask.lastIndexOf(1)];
  if (first < 0 || Math.min(width, height) < LARGE) return;
  const [top, bottom] = [Math.floor(first / width), Math.floor(last / width)];
  if (bottom - top >= SPOT) return;
  let [left, right] = [width, 0];
  for (let at = first; at <= last; at++) {
    if (mask[at] === 0) continue;
    left = Math.min(left, at % width);
    right = Math.max(right, at % width);
  }
  if (right - left >= SPOT) return;
  const [middleX, middleY] = [(left + right) / 2, (top + bottom) / 2];
  const radius = Math.max(right - left, bottom - top) / 2 + RING_ROOM;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const inside = radius - Math.hypot(x - middleX, y - middleY);
      if (inside >= 0 && inside < 4) paint(rgb, y * width + x, inside < 2 ? WHITE : BLACK);
    }
  }
}

function paint(rgb: Uint8Array, at: number, code: number): void {
  rgb.fill(code, at * 3, at * 3 + 3);
}

/** Grown by `reach` pixels to every side, diagonals too. */
function dilate(mask: Uint8Array, size: Size, reach: number): Uint8Array {
  const wide = new Uint8Array(mask.length);
  const grown = new Uint8Array(mask.length);
  const { width, height } = size;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (mask[y * width + x] === 0) continue;
      wide.fill(1, y * width + Math.max(x - reach, 0), y * width + Math.min(x + reach + 1, width));
    }
  }
  for (let y = 0; y < height; y++) {
    for (let from = Math.max(y - reach, 0); from <= Math.min(y + reach, height - 1); from++) {
      for (let x = 0; x < width; x++) if (wide[from * width + x] === 1) grown[y * width + x] = 1;
    }
  }
  return grown;
}

/** What grew beyond the edge of the picture was cut off there, so nothing is taken away from that side. */
function shrinkBy(reach: number, mask: Uint8Array, size: Size): Uint8Array {
  const hollow = dilate(
    mask.map((marked) => 1 - marked),
    size,
    reach,
  );
  return hollow.map((empty) => 1 - empty);
}

/**
 * Shrunk by one pixel. What lies beyond the picture is not marked, so an area that reaches its edge is closed
 * there.
 */
function erode(mask: Uint8Array, { width, height }: Size): Uint8Array {
  const shrunk = new Uint8Array(mask.length);
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      const at = y * width + x;
      const row = (start: number): boolean =>
        mask[start - 1] === 1 && mask[start] === 1 && mask[start + 1] === 1;
      if (row(at - width) && row(at) && row(at + width)) shrunk[at] = 1;
    }
  }
  return shrunk;
}
