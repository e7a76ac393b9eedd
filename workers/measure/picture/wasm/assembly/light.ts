import { bump } from './histogram';
import { blue, green, loadPixel, loadShort, red, shortBlue, shortGreen, shortRed } from './pixels';
import { LIGHT_STEP_BITS, PQ_BIN_BITS, SHORT_BITS } from './shifts';
import { ROW_ROOM } from './sizes';
import * as s from './state';
import { fillSteps } from './steps';

export let outsideP3: i32 = 0;
export function openLight(): void {
  outsideP3 = 0;
}

/** Four floats of a table at these offsets in bytes. */
export function gather(table: usize, offsets: v128): v128 {
  let four = v128.load32_zero(table + <usize>i32x4.extract_lane(offsets, 0));
  four = v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 1), four, 1);
  four = v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 2), four, 2);
  return v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 3), four, 3);
}

/** Linear light of four channels, given in steps. */
export function linearFour(steps: v128): v128 {
  const entries = i32x4.shr_s(i32x4.sub(steps, i32x4.splat(s.linearFrom)), LIGHT_STEP_BITS);
  return gather(s.linearTable, i32x4.shl(entries, 2));
}

function weighed(row: usize, r: v128, g: v128, b: v128): v128 {
  const first = f32x4.mul(v128.load32_splat(s.p3Matrix + row), r);
  const second = f32x4.mul(v128.load32_splat(s.p3Matrix + row, 4), g);
  return f32x4.add(f32x4.add(first, second), f32x4.mul(v128.load32_splat(s.p3Matrix + row, 8), b));
}

/** Bits of the pixels of linear BT.2020 light outside P3 by more than the tolerance. Single precision, in the order of the oracle. */
export function outsideFour(r: v128, g: v128, b: v128): i32 {
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const limit = f32x4.mul(f32x4.splat(<f32>-s.p3Tolerance), most);
  const far = v128.or(
    v128.or(f32x4.lt(weighed(0, r, g, b), limit), f32x4.lt(weighed(12, r, g, b), limit)),
    f32x4.lt(weighed(24, r, g, b), limit),
  );
  return i32x4.bitmask(far);
}

/** PQ: `pixels` pixels of row `y`, the open one, that may lie outside P3, 1, 4 or 8. */
export function judgeP3(y: i32, from: i32, pixels: i32): void {
  const stride = (<usize>(s.width + ROW_ROOM)) << 2;
  const reds = s.paddedRows;
  const greens = reds + stride;
  const blues = greens + stride;
  fillSteps(y, from, from + pixels, 0, reds, greens, blues);
  for (let x = from; x < from + pixels; x += 4) {
    const at = (<usize>x) << 2;
    const r = linearFour(v128.load(reds + at));
    const g = linearFour(v128.load(greens + at));
    const b = linearFour(v128.load(blues + at));
    const lit = i32x4.bitmask(f32x4.ge(f32x4.pmax(f32x4.pmax(r, g), b), f32x4.splat(<f32>s.p3FloorNits)));
    outsideP3 += popcnt(outsideFour(r, g, b) & lit & ((1 << min(pixels, 4)) - 1));
  }
}

/** The bin of a pixel with this largest channel, in steps. */
function absoluteBin(most: i32): i32 {
  return min(max((most - s.lightFrom) >> PQ_BIN_BITS, 0), s.lightLastBin);
}

/** Pixels of a row by PQ light, one by one. */
export function absoluteSpan(y: i32, from: i32, to: i32): void {
  for (let x = from; x < to; x++) {
    loadPixel(y, x);
    if (s.sumsShort !== 0) {
      loadShort(y, x);
      bump(s.lightCounts, absoluteBin(max(max(shortRed, shortGreen), shortBlue) << SHORT_BITS));
    } else {
      bump(s.lightCounts, absoluteBin(max(max(red, green), blue)));
    }
    if (s.testsP3) judgeP3(y, x, 1);
  }
}
