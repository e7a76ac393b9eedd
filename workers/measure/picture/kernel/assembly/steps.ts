import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { blue, cbRow, crRow, green, loadPixel, mainRow, red } from './pixels';
import * as s from './state';

/**
 * R', G', B' of the pixels `from` to `to` of row `y`, the open one, in steps shifted right by `drop`: pixel x goes to `reds + 4 x`, and so on. Writes up
 * to one pixel before and seven after.
 */
export function fillSteps(
  y: i32,
  from: i32,
  to: i32,
  drop: i32,
  reds: usize,
  greens: usize,
  blues: usize,
): void {
  if (s.model === 1) rgbFours(from, to, drop, reds, greens, blues);
  else if (s.model === 0 && s.chromaShiftX === 1) sharedEights(from & ~1, to, drop, reds, greens, blues);
  else if (s.model === 0 && s.chromaShiftX === 0) ownFours(from, to, drop, reds, greens, blues);
  else {
    for (let x = from; x < to; x++) {
      loadPixel(y, x);
      const at = (<usize>x) << 2;
      store<i32>(reds + at, red >> drop);
      store<i32>(greens + at, green >> drop);
      store<i32>(blues + at, blue >> drop);
    }
  }
}

/** Eight pixels of one channel, from their luma and the shares of the four chroma samples. */
function storePairs(into: usize, left: v128, right: v128, shares: v128, drop: i32): void {
  v128.store(into, i32x4.shr_s(i32x4.add(left, v128.shuffle<i32>(shares, shares, 0, 0, 1, 1)), drop));
  v128.store(into, i32x4.shr_s(i32x4.add(right, v128.shuffle<i32>(shares, shares, 2, 2, 3, 3)), drop), 16);
}

function sharedEights(from: i32, to: i32, drop: i32, reds: usize, greens: usize, blues: usize): void {
  const top = i16x8.splat(<i16>s.topCode);
  const scale = i32x4.splat(1 << s.codeShift);
  for (let x = from; x < to; x += 8) {
    const codes = i16x8.min_u(v128.load(mainRow + ((<usize>x) << 1)), top);
    const cb = chromaAt(cbRow + <usize>x);
    const cr = chromaAt(crRow + <usize>x);
    const left = i32x4.mul(i32x4.extend_low_i16x8_u(codes), scale);
    const right = i32x4.mul(i32x4.extend_high_i16x8_u(codes), scale);
    const at = (<usize>x) << 2;
    storePairs(reds + at, left, right, redOf(cr), drop);
    storePairs(greens + at, left, right, greenOf(cb, cr), drop);
    storePairs(blues + at, left, right, blueOf(cb), drop);
  }
}

function ownFours(from: i32, to: i32, drop: i32, reds: usize, greens: usize, blues: usize): void {
  const top = i32x4.splat(s.topCode);
  const scale = i32x4.splat(1 << s.codeShift);
  for (let x = from; x < to; x += 4) {
    const at = (<usize>x) << 1;
    const luma = i32x4.mul(i32x4.min_s(v128.load_ext<u16>(mainRow + at), top), scale);
    const cb = chromaAt(cbRow + at);
    const cr = chromaAt(crRow + at);
    const to4 = at << 1;
    v128.store(reds + to4, i32x4.shr_s(i32x4.add(luma, redOf(cr)), drop));
    v128.store(greens + to4, i32x4.shr_s(i32x4.add(luma, greenOf(cb, cr)), drop));
    v128.store(blues + to4, i32x4.shr_s(i32x4.add(luma, blueOf(cb)), drop));
  }
}

function rgbFours(from: i32, to: i32, drop: i32, reds: usize, greens: usize, blues: usize): void {
  const top = i32x4.splat(s.topCode);
  const scale = i32x4.splat(1 << s.codeShift);
  for (let x = from; x < to; x += 4) {
    const at = (<usize>x) << 1;
    const to4 = (<usize>x) << 2;
    v128.store(
      reds + to4,
      i32x4.shr_s(i32x4.mul(i32x4.min_s(v128.load_ext<u16>(crRow + at), top), scale), drop),
    );
    v128.store(
      greens + to4,
      i32x4.shr_s(i32x4.mul(i32x4.min_s(v128.load_ext<u16>(mainRow + at), top), scale), drop),
    );
    v128.store(
      blues + to4,
      i32x4.shr_s(i32x4.mul(i32x4.min_s(v128.load_ext<u16>(cbRow + at), top), scale), drop),
    );
  }
}
