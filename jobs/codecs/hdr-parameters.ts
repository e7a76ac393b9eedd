import type { HdrStaticMetadata } from '../manifest/colour.js';

/**
 * `G(x,y)B(x,y)R(x,y)WP(x,y)L(max,min)` as x264 and x265 read it: chromaticities in units of 0.00002,
 * luminance in units of 0.0001 cd/m2. Source: ITU-T H.265, mastering display colour volume SEI.
 */
export function masterDisplay({ mastering }: HdrStaticMetadata): string | null {
  if (mastering === null) return null;
  const point = ([x, y]: readonly [number, number]) =>
    `(${Math.round(x * 50_000)},${Math.round(y * 50_000)})`;
  const level = (nits: number) => Math.round(nits * 10_000);
  const { red, green, blue, white, minLuminance, maxLuminance } = mastering;
  return `G${point(green)}B${point(blue)}R${point(red)}WP${point(white)}L(${level(maxLuminance)},${level(minLuminance)})`;
}

/** `MaxCLL,MaxFALL` in whole cd/m2, rounded up: a declared maximum must not lie below the true one. */
export function lightLevel({ lightLevel: level }: HdrStaticMetadata): string | null {
  return level === null ? null : `${Math.ceil(level.maxCll)},${Math.ceil(level.maxFall)}`;
}
