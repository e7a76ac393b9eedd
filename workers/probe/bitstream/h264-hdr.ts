import type { HdrStaticMetadata } from '../../../jobs/manifest/colour.js';

/**
 * Static HDR metadata from the SEI of an H.264 stream, as ffmpeg's `trace_headers` prints it: the H.264
 * decoder passes it on only in newer versions (5.1 does not). Chromaticities in units of 0.00002, order
 * green, blue, red; luminance in units of 0.0001 cd/m2. Source: ITU-T H.264, D.1.29 and D.1.31 (clause
 * numbers from memory).
 */
export function readH264Hdr(): { line(text: string): void; result(): HdrStaticMetadata } {
  const fields = new Map<string, number>();
  const field = (name: string) => fields.get(name);
  const point = (index: number): [number, number] | null => {
    const [x, y] = [field(`display_primaries_x[${index}]`), field(`display_primaries_y[${index}]`)];
    return x === undefined || y === undefined ? null : [x / 50_000, y / 50_000];
  };
  return {
    line(text) {
      const match = /\] \d+ +(\w+(?:\[\d\])?) +[01]+ = (\d+)$/.exec(text);
      if (match?.[1] !== undefined && !fields.has(match[1])) fields.set(match[1], Number(match[2]));
    },
    result() {
      const [green, blue, red] = [point(0), point(1), point(2)];
      const [whiteX, whiteY] = [field('white_point_x'), field('white_point_y')];
      const [max, min] = [field('max_display_mastering_luminance'), field('min_display_mastering_luminance')];
      const [cll, fall] = [field('max_content_light_level'), field('max_pic_average_light_level')];
      const isComplete =
        green &&
        blue &&
        red &&
        whiteX !== undefined &&
        whiteY !== undefined &&
        max !== undefined &&
        min !== undefined;
      return {
        mastering: isComplete
          ? {
              red,
              green,
              blue,
              white: [whiteX / 50_000, whiteY / 50_000],
              minLuminance: min / 10_000,
              maxLuminance: max / 10_000,
            }
          : null,
        lightLevel: cll === undefined || fall === undefined ? null : { maxCll: cll, maxFall: fall },
      };
    },
  };
}
