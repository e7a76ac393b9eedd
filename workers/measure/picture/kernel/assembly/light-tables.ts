import { LIGHT_STEP_BITS } from '../../plan/step-bits';
import { splats } from './splats';

/** Linear light of four channels, given in steps, by the table of light. */
export function linearFour(table: usize, steps: v128): v128 {
  const offsets = i32x4.shl(i32x4.shr_s(i32x4.sub(steps, splats.tableFroms4), LIGHT_STEP_BITS), 2);
  let four = v128.load32_zero(table + <usize>i32x4.extract_lane(offsets, 0));
  four = v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 1), four, 1);
  four = v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 2), four, 2);
  return v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 3), four, 3);
}

/** Where the light of eight short sums lies in its table: offsets in bytes, which fit 16 bits. */
export function shortEntries(sums: v128): v128 {
  return i16x8.shl(i16x8.max_s(i16x8.min_s(sums, splats.shortLasts), i16x8.splat(0)), 2);
}

/** Light of four short sums, given by their offsets in the table of short sums. */
export function gatherShorts(table: usize, offsets: i64): v128 {
  const low = <u32>offsets;
  const high = <u32>(offsets >>> 32);
  let four = v128.load32_zero(table + <usize>(low & 0xffff));
  four = v128.load32_lane(table + <usize>(low >>> 16), four, 1);
  four = v128.load32_lane(table + <usize>(high & 0xffff), four, 2);
  return v128.load32_lane(table + <usize>(high >>> 16), four, 3);
}

export function luminanceOf(r: v128, g: v128, b: v128): v128 {
  const red = f32x4.mul(splats.lumaReds4, r);
  const green = f32x4.mul(splats.lumaGreens4, g);
  return f32x4.add(f32x4.add(red, green), f32x4.mul(splats.lumaBlues4, b));
}
