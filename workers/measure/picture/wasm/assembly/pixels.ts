import { share } from './chroma';
import { SHORT_BITS } from './shifts';
import * as s from './state';

/** The frame under measurement: its planes, and where they begin. */
let plane0: usize = 0;
let plane1: usize = 0;
let plane2: usize = 0;
/** Chroma of the open row. */
export let cbRow: usize = 0;
export let crRow: usize = 0;

/** R', G', B' of the pixel last asked for, in steps. */
export let red: i32 = 0;
export let green: i32 = 0;
export let blue: i32 = 0;

export function openFrame(frame: usize): void {
  const samples = <usize>(s.width * s.height);
  const chromaSamples = <usize>(s.chromaWidth * s.chromaHeight);
  plane0 = frame;
  plane1 = frame + (samples << 1);
  plane2 = plane1 + (chromaSamples << 1);
}

export function rowOf(y: i32): usize {
  return plane0 + ((<usize>(y * s.width)) << 1);
}

export function secondPlane(): usize {
  return plane1;
}

export function thirdPlane(): usize {
  return plane2;
}

/**
 * Finds the chroma of a row. In interlaced 4:2:0 the rows of chroma alternate between the fields as those of luma do
 * (H.262, figure 6-2).
 */
export function openRow(y: i32): void {
  if (s.model !== 0 || s.hasRgb === 0) return;
  const shift = s.chromaShiftY;
  let row = y;
  if (shift !== 0) {
    row = s.interlaced ? min(((y >> (shift + 1)) << 1) | (y & 1), s.chromaHeight - 1) : y >> shift;
  }
  const at = (<usize>(row * s.chromaWidth)) << 1;
  cbRow = plane1 + at;
  crRow = plane2 + at;
}

/** Puts a pixel of the open row in `red`, `green`, `blue`. `row` is its address in plane 0. */
export function loadPixel(row: usize, x: i32): void {
  const at = row + ((<usize>x) << 1);
  const first = min(<i32>load<u16>(at), s.topCode) << s.codeShift;
  if (s.model === 0) {
    const c = (<usize>(x >> s.chromaShiftX)) << 1;
    const cb = min(<i32>load<u16>(cbRow + c), s.topCode) - s.neutral;
    const cr = min(<i32>load<u16>(crRow + c), s.topCode) - s.neutral;
    red = first + share(cr, s.crToRed);
    green = first + share(cb, s.cbToGreen) + share(cr, s.crToGreen);
    blue = first + share(cb, s.cbToBlue);
  } else if (s.model === 1) {
    green = first;
    blue = min(<i32>load<u16>(at - plane0 + plane1), s.topCode) << s.codeShift;
    red = min(<i32>load<u16>(at - plane0 + plane2), s.topCode) << s.codeShift;
  } else {
    red = first;
    green = first;
    blue = first;
  }
}

/** A product of chroma and factor in short steps, as `q15mulr_sat_s` makes it. */
function shortShare(chroma: i32, factor: i32): i32 {
  return (chroma * s.shortChroma * factor + (1 << 14)) >> 15;
}

/** R', G', B' of the pixel last asked for, in short steps. */
export let shortRed: i32 = 0;
export let shortGreen: i32 = 0;
export let shortBlue: i32 = 0;

/** Puts a pixel of the open row whose chroma is shared in `shortRed`, `shortGreen`, `shortBlue`. */
export function loadShort(row: usize, x: i32): void {
  const luma = min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode) << (s.codeShift - SHORT_BITS);
  const c = (<usize>(x >> s.chromaShiftX)) << 1;
  const cb = min(<i32>load<u16>(cbRow + c), s.topCode) - s.neutral;
  const cr = min(<i32>load<u16>(crRow + c), s.topCode) - s.neutral;
  shortRed = luma + shortShare(cr, s.shortCrToRed);
  shortGreen = luma + shortShare(cb, s.shortCbToGreen) + shortShare(cr, s.shortCrToGreen);
  shortBlue = luma + shortShare(cb, s.shortCbToBlue);
}
