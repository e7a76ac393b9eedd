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
  const rgbFrom = i32x4.splat(s.rgbFrom);
  const rgbShift = s.rgbShift;
  const lightFrom = i32x4.splat(s.lightFrom);
  const lightStepBits = s.lightStepBits;
  const reds = s.redSteps;
  const greens = s.greenSteps;
  const blues = s.blueSteps;
  const mosts = s.mostSteps;
  const leasts = s.leastSteps;
  const absolute = s.lightKind === 1;
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
    storeBins(s.redBins, c, i32x4.shr_s(i32x4.sub(red, rgbFrom), rgbShift));
    storeBins(s.greenBins, c, i32x4.shr_s(i32x4.sub(green, rgbFrom), rgbShift));
    storeBins(s.blueBins, c, i32x4.shr_s(i32x4.sub(blue, rgbFrom), rgbShift));
    if (absolute) storeBins(s.lightBins, c, i32x4.shr_s(i32x4.sub(most, lightFrom), lightStepBits));
  }
}

/** Four products, rounded to whole steps. The low half of a 64-bit shift is the same with and without the sign. */
function share(chroma: v128, factor: v128): v128 {
  const bits = s.factorBits;
  const half = i64x2.splat((<i64>1) << (bits - 1));
  const left = i64x2.shr_u(i64x2.add(i64x2.extmul_low_i32x4_s(chroma, factor), half), bits);
  const right = i64x2.shr_u(i64x2.add(i64x2.extmul_high_i32x4_s(chroma, factor), half), bits);
  return v128.shuffle<i32>(left, right, 0, 2, 4, 6);
}

/** Four bins, once for each pixel that shares the sample. Light bins may leave 16 bits: they saturate, and the sum with luma does too. */
function storeBins(bins: usize, c: i32, four: v128): void {
  const narrow = i16x8.narrow_i32x4_s(four, four);
  if (s.chromaShiftX === 0) {
    v128.store64_lane(bins + ((<usize>c) << 1), narrow, 0);
  } else {
    v128.store(bins + ((<usize>c) << 2), v128.shuffle<i16>(narrow, narrow, 0, 0, 1, 1, 2, 2, 3, 3));
  }
}
