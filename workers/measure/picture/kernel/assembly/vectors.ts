/** Of eight unsigned shorts. */
export function lowest(eight: v128): i32 {
  const four = i16x8.min_u(eight, v128.shuffle<i64>(eight, eight, 1, 0));
  const two = i16x8.min_u(four, v128.shuffle<i32>(four, four, 1, 0, 3, 2));
  return min(<i32>i16x8.extract_lane_u(two, 0), <i32>i16x8.extract_lane_u(two, 1));
}

/** Of eight unsigned shorts. */
export function highest(eight: v128): i32 {
  const four = i16x8.max_u(eight, v128.shuffle<i64>(eight, eight, 1, 0));
  const two = i16x8.max_u(four, v128.shuffle<i32>(four, four, 1, 0, 3, 2));
  return max(<i32>i16x8.extract_lane_u(two, 0), <i32>i16x8.extract_lane_u(two, 1));
}

/** Of eight signed shorts. */
export function highestSigned(eight: v128): i32 {
  const four = i16x8.max_s(eight, v128.shuffle<i64>(eight, eight, 1, 0));
  const two = i16x8.max_s(four, v128.shuffle<i32>(four, four, 1, 0, 3, 2));
  return max(<i32>i16x8.extract_lane_s(two, 0), <i32>i16x8.extract_lane_s(two, 1));
}

/** Of eight signed shorts. */
export function lowestSigned(eight: v128): i32 {
  const four = i16x8.min_s(eight, v128.shuffle<i64>(eight, eight, 1, 0));
  const two = i16x8.min_s(four, v128.shuffle<i32>(four, four, 1, 0, 3, 2));
  return min(<i32>i16x8.extract_lane_s(two, 0), <i32>i16x8.extract_lane_s(two, 1));
}

/** Of four signed numbers. */
export function highestOfFour(four: v128): i32 {
  const two = i32x4.max_s(four, v128.shuffle<i64>(four, four, 1, 0));
  return max(i32x4.extract_lane(two, 0), i32x4.extract_lane(two, 1));
}

/** Of four signed numbers. */
export function lowestOfFour(four: v128): i32 {
  const two = i32x4.min_s(four, v128.shuffle<i64>(four, four, 1, 0));
  return min(i32x4.extract_lane(two, 0), i32x4.extract_lane(two, 1));
}
