import { bump } from './histogram';
import { blue, green, loadPixel, loadShort, red, shortBlue, shortGreen, shortRed } from './pixels';
import { LIGHT_STEP_BITS, PQ_BIN_BITS, SHORT_BITS } from './shifts';
import * as s from './state';

export let outsideP3: i32 = 0;
export function openLight(): void {
  outsideP3 = 0;
}

function linear(step: i32): f64 {
  return <f64>load<f32>(s.linearTable + ((<usize>((step - s.linearFrom) >> LIGHT_STEP_BITS)) << 2));
}

/** Linear BT.2020 light of any unit: outside P3 by more than the tolerance. The order of the sums is that of the oracle. */
export function isOutsideP3(r: f64, g: f64, b: f64, floor: f64): bool {
  const most = r > g ? (r > b ? r : b) : g > b ? g : b;
  if (most < floor) return false;
  const limit = -s.p3Tolerance * most;
  const m = s.p3Matrix;
  return (
    load<f64>(m) * r + load<f64>(m, 8) * g + load<f64>(m, 16) * b < limit ||
    load<f64>(m, 24) * r + load<f64>(m, 32) * g + load<f64>(m, 40) * b < limit ||
    load<f64>(m, 48) * r + load<f64>(m, 56) * g + load<f64>(m, 64) * b < limit
  );
}

/** PQ, whether the pixel loaded last lies outside P3; `bin` is its bin of light. */
function countOutsideP3(bin: i32): void {
  const least = min(min(red, green), blue);
  if (least >= load<i32>(s.p3Gate + ((<usize>bin) << 2))) return;
  if (isOutsideP3(linear(red), linear(green), linear(blue), s.p3FloorNits)) outsideP3++;
}

/** The bin of a pixel with this largest channel, in steps. */
function absoluteBin(most: i32): i32 {
  return min(max((most - s.lightFrom) >> PQ_BIN_BITS, 0), s.lightLastBin);
}

/** PQ: pixels that may lie outside P3. Bit i of `which` stands for `perBit` pixels. */
export function judgeP3(row: usize, from: i32, which: i32, perBit: i32): void {
  for (let x = from; which !== 0; x += perBit, which >>= 1) {
    if ((which & 1) === 0) continue;
    for (let i = 0; i < perBit; i++) {
      loadPixel(row, x + i);
      countOutsideP3(absoluteBin(max(max(red, green), blue)));
    }
  }
}

/** Pixels of a row by PQ light, one by one. */
export function absoluteSpan(row: usize, from: i32, to: i32): void {
  for (let x = from; x < to; x++) {
    loadPixel(row, x);
    const most = max(max(red, green), blue);
    if (s.sumsShort !== 0) {
      loadShort(row, x);
      bump(s.lightCounts, absoluteBin(max(max(shortRed, shortGreen), shortBlue) << SHORT_BITS));
    } else {
      bump(s.lightCounts, absoluteBin(most));
    }
    if (s.testsP3) countOutsideP3(absoluteBin(most));
  }
}
