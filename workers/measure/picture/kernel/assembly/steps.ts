import { Job, Picture } from '../records';
import { ROW_ROOM } from '../sizes';
import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { blueOfPixel, greenOfPixel, loadPixel, redOfPixel } from './pixels';
import { splats } from './splats';

/** Bytes of one channel of a row of steps; red, green and blue follow one another. */
export function channelBytes(picture: Picture): usize {
  return (<usize>(picture.width + ROW_ROOM)) << 2;
}

/**
 * R', G', B' of the pixels `from` to `to` of row `y`, the open one, in steps shifted right by `drop`: red of
 * pixel x goes to `reds + 4 x`, and so on. Writes up to one pixel before and seven after.
 */
export function fillSteps(job: Job, y: i32, from: i32, to: i32, drop: i32, reds: usize): void {
  const picture = job.picture;
  if (picture.model === 1) rgbFours(job, from, to, drop, reds);
  else if (picture.model === 0 && picture.chromaShiftX === 1) sharedEights(job, from & ~1, to, drop, reds);
  else if (picture.model === 0 && picture.chromaShiftX === 0) ownFours(job, from, to, drop, reds);
  else if (picture.model === 2) greyFours(job, from, to, drop, reds);
  else {
    const channel = channelBytes(picture);
    for (let x = from; x < to; x++) {
      const pixel = loadPixel(job, y, x);
      const at = reds + ((<usize>x) << 2);
      store<i32>(at, redOfPixel(pixel) >> drop);
      store<i32>(at + channel, greenOfPixel(pixel) >> drop);
      store<i32>(at + 2 * channel, blueOfPixel(pixel) >> drop);
    }
  }
}

/** Eight pixels of one channel, from their luma and the shares of the four chroma samples. */
function storePairs(into: usize, left: v128, right: v128, shares: v128, drop: i32): void {
  v128.store(into, i32x4.shr_s(i32x4.add(left, v128.shuffle<i32>(shares, shares, 0, 0, 1, 1)), drop));
  v128.store(into, i32x4.shr_s(i32x4.add(right, v128.shuffle<i32>(shares, shares, 2, 2, 3, 3)), drop), 16);
}

function sharedEights(job: Job, from: i32, to: i32, drop: i32, reds: usize): void {
  const greens = reds + channelBytes(job.picture);
  const blues = greens + channelBytes(job.picture);
  const mainRow = job.frame.mainRow;
  const cbRow = job.frame.cbRow;
  const crRow = job.frame.crRow;
  const top = splats.topCodes;
  const scale = splats.codeSteps4;
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

function ownFours(job: Job, from: i32, to: i32, drop: i32, reds: usize): void {
  const greens = reds + channelBytes(job.picture);
  const blues = greens + channelBytes(job.picture);
  const mainRow = job.frame.mainRow;
  const cbRow = job.frame.cbRow;
  const crRow = job.frame.crRow;
  const top = splats.topCodes4;
  const scale = splats.codeSteps4;
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

function rgbFours(job: Job, from: i32, to: i32, drop: i32, reds: usize): void {
  const greens = reds + channelBytes(job.picture);
  const blues = greens + channelBytes(job.picture);
  const mainRow = job.frame.mainRow;
  const cbRow = job.frame.cbRow;
  const crRow = job.frame.crRow;
  const top = splats.topCodes4;
  const scale = splats.codeSteps4;
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

/** Grey is its own R', G' and B'. */
function greyFours(job: Job, from: i32, to: i32, drop: i32, reds: usize): void {
  const channel = channelBytes(job.picture);
  const mainRow = job.frame.mainRow;
  for (let x = from; x < to; x += 4) {
    const codes = i32x4.min_s(v128.load_ext<u16>(mainRow + ((<usize>x) << 1)), splats.topCodes4);
    const steps = i32x4.shr_s(i32x4.mul(codes, splats.codeSteps4), drop);
    const at = reds + ((<usize>x) << 2);
    v128.store(at, steps);
    v128.store(at + channel, steps);
    v128.store(at + 2 * channel, steps);
  }
}
