import { FACTOR_BITS } from '../../plan/step-bits';
import { splats } from './splats';

/**
 * Four products of chroma and a factor, rounded to whole steps. The low half of a 64-bit shift is the same
 * with and without the sign.
 */
function shares(chroma: v128, factor: v128): v128 {
  const half = i64x2.splat((<i64>1) << (FACTOR_BITS - 1));
  const left = i64x2.shr_u(i64x2.add(i64x2.extmul_low_i32x4_s(chroma, factor), half), FACTOR_BITS);
  const right = i64x2.shr_u(i64x2.add(i64x2.extmul_high_i32x4_s(chroma, factor), half), FACTOR_BITS);
  return v128.shuffle<i32>(left, right, 0, 2, 4, 6);
}

/** Four codes of chroma from their neutral one. */
export function chromaAt(codes: usize): v128 {
  return i32x4.sub(i32x4.min_s(v128.load_ext<u16>(codes), splats.topCodes4), splats.neutrals4);
}

export function redOf(cr: v128): v128 {
  return shares(cr, splats.crToReds4);
}

export function greenOf(cb: v128, cr: v128): v128 {
  return i32x4.add(shares(cb, splats.cbToGreens4), shares(cr, splats.crToGreens4));
}

export function blueOf(cb: v128): v128 {
  return shares(cb, splats.cbToBlues4);
}
