import { bump } from './histogram';
import { blue, green, loadPixel, red } from './pixels';
import { LIGHT_STEP_BITS, PQ_BIN_BITS } from './shifts';
import * as s from './state';

export let outsideP3: i32 = 0;
export let lightSum: f64 = 0;
export let mostLight: f64 = 0;
export let brightestRed: i32 = 0;
export let brightestGreen: i32 = 0;
export let brightestBlue: i32 = 0;

export function openLight(): void {
  outsideP3 = 0;
  lightSum = 0;
  mostLight = -1;
}

function linear(step: i32): f64 {
  return <f64>load<f32>(s.linearTable + ((<usize>((step - s.linearFrom) >> LIGHT_STEP_BITS)) << 2));
}

/** Linear BT.2020 light of any unit: outside P3 by more than the tolerance. The order of the sums is that of the oracle. */
function isOutsideP3(r: f64, g: f64, b: f64, floor: f64): bool {
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
export function countOutsideP3(bin: i32): void {
  const least = min(min(red, green), blue);
  if (least >= load<i32>(s.p3Gate + ((<usize>bin) << 2))) return;
  if (isOutsideP3(linear(red), linear(green), linear(blue), s.p3FloorNits)) outsideP3++;
}

export function absoluteBin(most: i32): i32 {
  return min(max((most - s.lightFrom) >> PQ_BIN_BITS, 0), s.lightLastBin);
}

/** Pixels of a row by PQ light, one by one. */
export function absoluteSpan(row: usize, from: i32, to: i32): void {
  for (let x = from; x < to; x++) {
    loadPixel(row, x);
    const bin = absoluteBin(max(max(red, green), blue));
    bump(s.lightCounts, bin);
    if (s.testsP3) countOutsideP3(bin);
  }
}

function floatBin(value: f32): i32 {
  const bin = (reinterpret<i32>(value) >> s.floatBinShift) - s.floatBinBase;
  return min(max(bin, 0), s.floatBinLast);
}

/** HLG through the OOTF of its display. The sum goes in raster order, so that it is the same to the last bit whoever makes it. */
export function displayedRow(row: usize): void {
  const testsP3 = s.testsP3 !== 0;
  const floor = s.p3FloorNits;
  const leastShare = s.p3LeastShare;
  let sum = lightSum;
  let brightest = mostLight;
  for (let x = 0; x < s.width; x++) {
    loadPixel(row, x);
    const r = linear(red);
    const g = linear(green);
    const b = linear(blue);
    const most = r > g ? (r > b ? r : b) : g > b ? g : b;
    const luminance = <f32>(s.lumaRed * r + s.lumaGreen * g + s.lumaBlue * b);
    const at = (reinterpret<i32>(luminance) >> s.factorShift) - s.factorBase;
    const factor = load<f32>(s.factorTable + ((<usize>min(max(at, 0), s.factorLast)) << 2));
    const nits = most * <f64>factor;
    sum += nits;
    if (nits > brightest) {
      brightest = nits;
      brightestRed = red;
      brightestGreen = green;
      brightestBlue = blue;
    }
    bump(s.lightCounts, floatBin(<f32>nits));
    if (testsP3 && nits >= floor) {
      const dim = r < g ? (r < b ? r : b) : g < b ? g : b;
      if (dim < leastShare * most && isOutsideP3(r, g, b, 0)) outsideP3++;
    }
  }
  lightSum = sum;
  mostLight = brightest;
}

/** Camera logs: luminance of the scene, and the brightest channel by code. */
export function sceneRow(row: usize): void {
  const half = 1 << (s.codeShift - 1);
  for (let x = 0; x < s.width; x++) {
    loadPixel(row, x);
    const code = (max(max(red, green), blue) + half) >> s.codeShift;
    bump(s.brightestCounts, min(max(code, 0), s.topCode));
    const y = s.lumaRed * linear(red) + s.lumaGreen * linear(green) + s.lumaBlue * linear(blue);
    bump(s.lightCounts, floatBin(<f32>(y > 0 ? y : 0)));
  }
}
