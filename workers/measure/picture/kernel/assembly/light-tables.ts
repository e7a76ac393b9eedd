import { LIGHT_STEP_BITS } from './shifts';
import { lumaBlues, lumaGreens, lumaReds, shortLasts } from './splats';
import * as s from './state';

/** Linear light of four channels, given in steps. */
export function linearFour(steps: v128): v128 {
  const offsets = i32x4.shl(i32x4.shr_s(i32x4.sub(steps, i32x4.splat(s.linearFrom)), LIGHT_STEP_BITS), 2);
  let four = v128.load32_zero(s.linearTable + <usize>i32x4.extract_lane(offsets, 0));
  four = v128.load32_lane(s.linearTable + <usize>i32x4.extract_lane(offsets, 1), four, 1);
  four = v128.load32_lane(s.linearTable + <usize>i32x4.extract_lane(offsets, 2), four, 2);
  return v128.load32_lane(s.linearTable + <usize>i32x4.extract_lane(offsets, 3), four, 3);
}

/** Where the light of eight short sums lies in its table: offsets in bytes, which fit 16 bits. */
export function shortEntries(sums: v128): v128 {
  return i16x8.shl(i16x8.max_s(i16x8.min_s(sums, shortLasts), i16x8.splat(0)), 2);
}

/** Light of four short sums, given by their offsets. */
export function gatherShorts(offsets: i64): v128 {
  const low = <u32>offsets;
  const high = <u32>(offsets >>> 32);
  let four = v128.load32_zero(s.shortTable + <usize>(low & 0xffff));
  four = v128.load32_lane(s.shortTable + <usize>(low >>> 16), four, 1);
  four = v128.load32_lane(s.shortTable + <usize>(high & 0xffff), four, 2);
  return v128.load32_lane(s.shortTable + <usize>(high >>> 16), four, 3);
}

export function luminanceOf(r: v128, g: v128, b: v128): v128 {
  return f32x4.add(f32x4.add(f32x4.mul(lumaReds, r), f32x4.mul(lumaGreens, g)), f32x4.mul(lumaBlues, b));
}
