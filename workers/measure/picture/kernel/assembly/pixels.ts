import { FACTOR_BITS, SHORT_BITS } from './shifts';
import { BLOCK, SHORT_ROW_ROOM } from './sizes';
import * as s from './state';

// Rows of the frame as 16-bit codes. Frames of bytes are widened eight rows at a time, so that the wide ones stay in the fastest cache; wider
// frames are read where they lie.

/** Where the planes of the frame begin, and plane 0 of the frame before: 0 for none. */
let plane0: usize = 0;
let plane1: usize = 0;
let plane2: usize = 0;
let before0: usize = 0;
/** Which block is widened. */
let openedBlock: i32 = -1;

/** The open row: plane 0, and what belongs to it of planes 1 and 2: chroma, or B' and R'. */
export let mainRow: usize = 0;
export let cbRow: usize = 0;
export let crRow: usize = 0;

export function openFrame(frame: usize, before: usize): void {
  const wide = s.bytesPerSample - 1;
  plane0 = frame;
  plane1 = frame + ((<usize>(s.width * s.height)) << wide);
  plane2 = plane1 + ((<usize>(s.chromaWidth * s.chromaHeight)) << wide);
  before0 = before;
  openedBlock = -1;
}

/** Bytes to 16-bit codes. Reads and writes in sixteens, past the end. */
export function widen(from: usize, to: usize, samples: i32): void {
  for (let i = 0; i < samples; i += 16) {
    const bytes = v128.load(from + <usize>i);
    const at = to + ((<usize>i) << 1);
    v128.store(at, i16x8.extend_low_i8x16_u(bytes));
    v128.store(at, i16x8.extend_high_i8x16_u(bytes), 16);
  }
}

/** Rows of planes 1 and 2 that belong to a block, from the first one on. */
export function otherRows(y: i32): i32 {
  const rows = BLOCK >> s.chromaShiftY;
  return max(min(rows, s.chromaHeight - (y / BLOCK) * rows), 0);
}

/** Readies the block of rows that begins at `y`. */
export function openBlock(y: i32): void {
  openedBlock = y / BLOCK;
  if (s.bytesPerSample !== 1) return;
  const samples = min(BLOCK, s.height - y) * s.width;
  const at = <usize>(y * s.width);
  widen(plane0 + at, s.blockRows, samples);
  if (before0 !== 0) widen(before0 + at, s.blockBefore, samples);
  if (s.model === 2) return;
  const others = otherRows(y) * s.chromaWidth;
  const otherAt = <usize>(openedBlock * (BLOCK >> s.chromaShiftY) * s.chromaWidth);
  widen(plane1 + otherAt, s.blockSecond, others);
  widen(plane2 + otherAt, s.blockThird, others);
}

/** A row of plane 0 in the open block. */
export function rowAt(y: i32): usize {
  if (s.bytesPerSample !== 1) return plane0 + ((<usize>(y * s.width)) << 1);
  return s.blockRows + ((<usize>((y % BLOCK) * s.width)) << 1);
}

/** The same of the frame before, 0 where there is none. */
export function beforeAt(y: i32): usize {
  if (before0 === 0) return 0;
  if (s.bytesPerSample !== 1) return before0 + ((<usize>(y * s.width)) << 1);
  return s.blockBefore + ((<usize>((y % BLOCK) * s.width)) << 1);
}

/** Rows of planes 1 and 2 in the open block, by their own number. */
export function secondAt(row: i32): usize {
  if (s.bytesPerSample !== 1) return plane1 + ((<usize>(row * s.chromaWidth)) << 1);
  return s.blockSecond + ((<usize>((row % (BLOCK >> s.chromaShiftY)) * s.chromaWidth)) << 1);
}

export function thirdAt(row: i32): usize {
  if (s.bytesPerSample !== 1) return plane2 + ((<usize>(row * s.chromaWidth)) << 1);
  return s.blockThird + ((<usize>((row % (BLOCK >> s.chromaShiftY)) * s.chromaWidth)) << 1);
}

/**
 * Row of planes 1 and 2 that belongs to a row of plane 0. In interlaced 4:2:0 the rows of chroma alternate between the fields as those of luma do
 * (H.262, figure 6-2).
 */
function otherRowOf(y: i32): i32 {
  const shift = s.chromaShiftY;
  if (shift === 0) return y;
  if (!s.interlaced) return y >> shift;
  return min(((y >> (shift + 1)) << 1) | (y & 1), s.chromaHeight - 1);
}

/** Opens a row: of the open block or, at a price, any other. */
export function openRow(y: i32): void {
  const other = otherRowOf(y);
  if (s.bytesPerSample === 1 && y / BLOCK !== openedBlock) {
    openSpare(y, other);
    return;
  }
  mainRow = rowAt(y);
  if (s.model === 2) return;
  cbRow = secondAt(other);
  crRow = thirdAt(other);
}

function openSpare(y: i32, other: i32): void {
  const room = (<usize>(s.width + SHORT_ROW_ROOM)) << 1;
  mainRow = s.spareRows;
  widen(plane0 + <usize>(y * s.width), mainRow, s.width);
  if (s.model === 2) return;
  cbRow = mainRow + room;
  crRow = cbRow + room;
  const at = <usize>(other * s.chromaWidth);
  widen(plane1 + at, cbRow, s.chromaWidth);
  widen(plane2 + at, crRow, s.chromaWidth);
}

/** R', G', B' of the pixel last asked for, in steps. */
export let red: i32 = 0;
export let green: i32 = 0;
export let blue: i32 = 0;

/** A product of chroma and factor, rounded to whole steps. */
function share(chroma: i32, factor: i32): i32 {
  return <i32>((<i64>chroma * <i64>factor + ((<i64>1) << (FACTOR_BITS - 1))) >> FACTOR_BITS);
}

/** A sample of a plane, wherever it lies. */
function sampleAt(plane: usize, index: i32): i32 {
  if (s.bytesPerSample === 1) return <i32>load<u8>(plane + <usize>index);
  return min(<i32>load<u16>(plane + ((<usize>index) << 1)), s.topCode);
}

/** Puts a pixel of the frame in `red`, `green`, `blue`. */
export function loadPixel(y: i32, x: i32): void {
  const first = sampleAt(plane0, y * s.width + x) << s.codeShift;
  if (s.model === 0) {
    const c = otherRowOf(y) * s.chromaWidth + (x >> s.chromaShiftX);
    const cb = sampleAt(plane1, c) - s.neutral;
    const cr = sampleAt(plane2, c) - s.neutral;
    red = first + share(cr, s.crToRed);
    green = first + share(cb, s.cbToGreen) + share(cr, s.crToGreen);
    blue = first + share(cb, s.cbToBlue);
  } else if (s.model === 1) {
    green = first;
    blue = sampleAt(plane1, y * s.width + x) << s.codeShift;
    red = sampleAt(plane2, y * s.width + x) << s.codeShift;
  } else {
    red = first;
    green = first;
    blue = first;
  }
}

/** R', G', B' of the pixel last asked for, in short steps. */
export let shortRed: i32 = 0;
export let shortGreen: i32 = 0;
export let shortBlue: i32 = 0;

/** A product of 15 fraction bits in whole short steps. */
function rounded(product: i32): i32 {
  return (product + (1 << 14)) >> 15;
}

/** Puts a pixel whose chroma is shared in `shortRed`, `shortGreen`, `shortBlue`. */
export function loadShort(y: i32, x: i32): void {
  const luma = sampleAt(plane0, y * s.width + x) << (s.codeShift - SHORT_BITS);
  const c = otherRowOf(y) * s.chromaWidth + (x >> s.chromaShiftX);
  const cb = (sampleAt(plane1, c) - s.neutral) * s.shortChroma;
  const cr = (sampleAt(plane2, c) - s.neutral) * s.shortChroma;
  shortRed = luma + cr + rounded(cr * s.shortCrToRed);
  shortGreen = luma + rounded(cb * s.shortCbToGreen + cr * s.shortCrToGreen);
  shortBlue = luma + cb + rounded(cb * s.shortCbToBlue);
}
