import { FACTOR_BITS, SHORT_BITS } from '../../plan/step-bits';
import { Job, Picture } from '../records';
import { BLOCK, SHORT_ROW_ROOM } from '../sizes';

// Rows of the frame as 16-bit codes. Frames of bytes are widened eight rows at a time, so that the wide ones
// stay in the fastest cache; wider frames are read where they lie.

/** Begins the frame at `at`; the one before lies at `before`, 0 for none. */
export function openFrame(job: Job, at: usize, before: usize): void {
  const frame = job.frame;
  const picture = job.picture;
  const wide = picture.bytesPerSample - 1;
  frame.first = at;
  frame.second = at + ((<usize>(picture.width * picture.height)) << wide);
  frame.third = frame.second + ((<usize>(picture.chromaWidth * picture.chromaHeight)) << wide);
  frame.before = before;
  frame.block = -1;
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
export function otherRows(picture: Picture, y: i32): i32 {
  const rows = BLOCK >> picture.chromaShiftY;
  return max(min(rows, picture.chromaHeight - (y / BLOCK) * rows), 0);
}

/** Readies the block of rows that begins at `y`. */
export function openBlock(job: Job, y: i32): void {
  const frame = job.frame;
  const picture = job.picture;
  const scratch = job.scratch;
  frame.block = y / BLOCK;
  if (picture.bytesPerSample !== 1) return;
  const samples = min(BLOCK, picture.height - y) * picture.width;
  const at = <usize>(y * picture.width);
  widen(frame.first + at, scratch.first, samples);
  if (frame.before !== 0) widen(frame.before + at, scratch.before, samples);
  if (picture.model === 2) return;
  const others = otherRows(picture, y) * picture.chromaWidth;
  const otherAt = <usize>(frame.block * (BLOCK >> picture.chromaShiftY) * picture.chromaWidth);
  widen(frame.second + otherAt, scratch.second, others);
  widen(frame.third + otherAt, scratch.third, others);
}

/** A row of plane 0 in the open block. */
export function rowAt(job: Job, y: i32): usize {
  const width = job.picture.width;
  if (job.picture.bytesPerSample !== 1) return job.frame.first + ((<usize>(y * width)) << 1);
  return job.scratch.first + ((<usize>((y % BLOCK) * width)) << 1);
}

/** The same of the frame before, 0 where there is none. */
export function beforeAt(job: Job, y: i32): usize {
  const before = job.frame.before;
  const width = job.picture.width;
  if (before === 0) return 0;
  if (job.picture.bytesPerSample !== 1) return before + ((<usize>(y * width)) << 1);
  return job.scratch.before + ((<usize>((y % BLOCK) * width)) << 1);
}

/** Rows of planes 1 and 2 in the open block, by their own number. */
export function secondAt(job: Job, row: i32): usize {
  return otherAt(job.picture, job.frame.second, job.scratch.second, row);
}

export function thirdAt(job: Job, row: i32): usize {
  return otherAt(job.picture, job.frame.third, job.scratch.third, row);
}

function otherAt(picture: Picture, plane: usize, block: usize, row: i32): usize {
  const width = picture.chromaWidth;
  if (picture.bytesPerSample !== 1) return plane + ((<usize>(row * width)) << 1);
  return block + ((<usize>((row % (BLOCK >> picture.chromaShiftY)) * width)) << 1);
}

/**
 * Row of planes 1 and 2 that belongs to a row of plane 0. In interlaced 4:2:0 the rows of chroma alternate
 * between the fields as those of luma do (H.262, figure 6-2).
 */
function otherRowOf(picture: Picture, y: i32): i32 {
  const shift = picture.chromaShiftY;
  if (shift === 0) return y;
  if (!picture.interlaced) return y >> shift;
  return min(((y >> (shift + 1)) << 1) | (y & 1), picture.chromaHeight - 1);
}

/** Opens a row: one of the open block, or any other, which costs more. */
export function openRow(job: Job, y: i32): void {
  const frame = job.frame;
  const picture = job.picture;
  const other = otherRowOf(picture, y);
  if (picture.bytesPerSample === 1 && y / BLOCK !== frame.block) {
    openSpare(job, y, other);
    return;
  }
  frame.mainRow = rowAt(job, y);
  if (picture.model === 2) return;
  frame.cbRow = secondAt(job, other);
  frame.crRow = thirdAt(job, other);
}

function openSpare(job: Job, y: i32, other: i32): void {
  const frame = job.frame;
  const picture = job.picture;
  const room = (<usize>(picture.width + SHORT_ROW_ROOM)) << 1;
  frame.mainRow = job.scratch.spare;
  widen(frame.first + <usize>(y * picture.width), frame.mainRow, picture.width);
  if (picture.model === 2) return;
  frame.cbRow = frame.mainRow + room;
  frame.crRow = frame.cbRow + room;
  const at = <usize>(other * picture.chromaWidth);
  widen(frame.second + at, frame.cbRow, picture.chromaWidth);
  widen(frame.third + at, frame.crRow, picture.chromaWidth);
}

/** A product of chroma and factor, rounded to whole steps. */
function share(chroma: i32, factor: i32): i32 {
  return <i32>((<i64>chroma * <i64>factor + ((<i64>1) << (FACTOR_BITS - 1))) >> FACTOR_BITS);
}

/** A sample of a plane, wherever it lies. */
function sampleAt(picture: Picture, plane: usize, index: i32): i32 {
  if (picture.bytesPerSample === 1) return <i32>load<u8>(plane + <usize>index);
  return min(<i32>load<u16>(plane + ((<usize>index) << 1)), picture.topCode);
}

/** R', G', B' of one pixel, as the first three of four numbers. */
function pixel(red: i32, green: i32, blue: i32): v128 {
  return i32x4.replace_lane(i32x4.replace_lane(i32x4.splat(red), 1, green), 2, blue);
}

export function redOfPixel(rgb: v128): i32 {
  return i32x4.extract_lane(rgb, 0);
}

export function greenOfPixel(rgb: v128): i32 {
  return i32x4.extract_lane(rgb, 1);
}

export function blueOfPixel(rgb: v128): i32 {
  return i32x4.extract_lane(rgb, 2);
}

/** A pixel of the frame in steps. */
export function loadPixel(job: Job, y: i32, x: i32): v128 {
  const frame = job.frame;
  const picture = job.picture;
  const shift = picture.codeShift;
  const first = sampleAt(picture, frame.first, y * picture.width + x) << shift;
  if (picture.model === 2) return i32x4.splat(first);
  const at = otherRowOf(picture, y) * picture.chromaWidth + (x >> picture.chromaShiftX);
  const second = sampleAt(picture, frame.second, at);
  const third = sampleAt(picture, frame.third, at);
  if (picture.model === 1) return pixel(third << shift, first, second << shift);
  const matrix = job.matrix;
  const cb = second - matrix.neutral;
  const cr = third - matrix.neutral;
  return pixel(
    first + share(cr, matrix.crToRed),
    first + share(cb, matrix.cbToGreen) + share(cr, matrix.crToGreen),
    first + share(cb, matrix.cbToBlue),
  );
}

/** A product of 15 fraction bits in whole short steps. */
function rounded(product: i32): i32 {
  return (product + (1 << 14)) >> 15;
}

/** A pixel whose chroma is shared, in short steps. */
export function loadShort(job: Job, y: i32, x: i32): v128 {
  const frame = job.frame;
  const picture = job.picture;
  const matrix = job.shortMatrix;
  const neutral = job.matrix.neutral;
  const luma = sampleAt(picture, frame.first, y * picture.width + x) << (picture.codeShift - SHORT_BITS);
  const at = otherRowOf(picture, y) * picture.chromaWidth + (x >> picture.chromaShiftX);
  const cb = (sampleAt(picture, frame.second, at) - neutral) * matrix.chroma;
  const cr = (sampleAt(picture, frame.third, at) - neutral) * matrix.chroma;
  return pixel(
    luma + cr + rounded(cr * matrix.crToRed),
    luma + rounded(cb * matrix.cbToGreen + cr * matrix.crToGreen),
    luma + cb + rounded(cb * matrix.cbToBlue),
  );
}
