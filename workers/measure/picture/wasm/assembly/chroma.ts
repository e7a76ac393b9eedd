import { FACTOR_BITS } from './shifts';

/** Four products of chroma and a factor, rounded to whole steps. The low half of a 64-bit shift is the same with and without the sign. */
export function shares(chroma: v128, factor: v128): v128 {
  const half = i64x2.splat((<i64>1) << (FACTOR_BITS - 1));
  const left = i64x2.shr_u(i64x2.add(i64x2.extmul_low_i32x4_s(chroma, factor), half), FACTOR_BITS);
  const right = i64x2.shr_u(i64x2.add(i64x2.extmul_high_i32x4_s(chroma, factor), half), FACTOR_BITS);
  return v128.shuffle<i32>(left, right, 0, 2, 4, 6);
}

/** The same for one sample. */
export function share(chroma: i32, factor: i32): i32 {
  return <i32>((<i64>chroma * <i64>factor + ((<i64>1) << (FACTOR_BITS - 1))) >> FACTOR_BITS);
}
