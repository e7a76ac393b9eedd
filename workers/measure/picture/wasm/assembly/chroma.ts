import * as s from './state';

/**
 * Turns a row of chroma into what each sample adds to R', G' and B' of its pixels, in steps, and to the bins of the pixels. Rows are read
 * and written in fours: what lies behind the last sample is computed too and never used.
 */
export function prepareChroma(cbRow: usize, crRow: usize): void {
  const top = i32x4.splat(s.topCode);
  const neutral = i32x4.splat(s.neutral);
  const crToRed = i32x4.splat(s.crToRed);
  const cbToGreen = i32x4.splat(s.cbToGreen);
  const crToGreen = i32x4.splat(s.crToGreen);
  const cbToBlue = i32x4.splat(s.cbToBlue);
  const lightFrom = i32x4.splat(s.lightFrom);
  const lightBinBits = s.lightBinBits;
  const reds = s.redSteps;
  const greens = s.greenSteps;
  const blues = s.blueSteps;
  const mosts = s.mostSteps;
  const leasts = s.leastSteps;
  for (let c = 0; c < s.chromaWidth; c += 4) {
    const at = (<usize>c) << 1;
    const cb = i32x4.sub(i32x4.min_s(v128.load_ext<u16>(cbRow + at), top), neutral);
    const cr = i32x4.sub(i32x4.min_s(v128.load_ext<u16>(crRow + at), top), neutral);
    const red = share(cr, crToRed);
    const blue = share(cb, cbToBlue);
    const green = i32x4.add(share(cb, cbToGreen), share(cr, crToGreen));
    const most = i32x4.max_s(i32x4.max_s(red, green), blue);
    const least = i32x4.min_s(i32x4.min_s(red, green), blue);
    const to = at << 1;
    v128.store(reds + to, red);
    v128.store(greens + to, green);
    v128.store(blues + to, blue);
    v128.store(mosts + to, most);
    v128.store(leasts + to, least);
    v128.store(s.redBins + to, offsets(red));
    v128.store(s.greenBins + to, offsets(green));
    v128.store(s.blueBins + to, offsets(blue));
    if (s.lightKind === 1) {
      v128.store(s.lightBins + to, i32x4.shr_s(i32x4.sub(most, lightFrom), lightBinBits));
    }
  }
}

/** Where the counters of black pixels with this chroma lie, in bytes. */
function offsets(steps: v128): v128 {
  return i32x4.shl(i32x4.shr_s(i32x4.sub(steps, i32x4.splat(s.rgbFrom)), s.rgbShift), 2);
}

/** Four products, rounded to whole steps. The low half of a 64-bit shift is the same with and without the sign. */
function share(chroma: v128, factor: v128): v128 {
  const bits = s.factorBits;
  const half = i64x2.splat((<i64>1) << (bits - 1));
  const left = i64x2.shr_u(i64x2.add(i64x2.extmul_low_i32x4_s(chroma, factor), half), bits);
  const right = i64x2.shr_u(i64x2.add(i64x2.extmul_high_i32x4_s(chroma, factor), half), bits);
  return v128.shuffle<i32>(left, right, 0, 2, 4, 6);
}
