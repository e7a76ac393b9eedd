import { maxCode } from '../quantise.js';
import { grey, type PatternPicture, paint } from './pattern-picture.js';

/**
 * Every code of a depth, rising from left to right, in four bands: grey, red, green, blue. A band with more
 * codes than columns continues in further rows, from the top down. A picture too small even for that shows
 * only every nth code, and its title says so.
 */
export function ramp({
  width,
  height,
  depth,
}: {
  width: number;
  height: number;
  depth: number;
}): PatternPicture {
  const codes = maxCode(depth) + 1;
  const bandHeight = Math.floor(height / 4);
  const rows = Math.max(1, Math.min(Math.ceil(codes / width), bandHeight));
  const isWhole = rows * width >= codes;
  const what = isWhole ? `every ${depth}-bit code` : `${rows * width} of the ${codes} codes of ${depth} bits`;
  return {
    title: `Ramps of ${what}: grey, red, green, blue`,
    source: isWhole ? 'every code value, in order' : 'code values in order, evenly left out',
    width,
    height,
    depth,
    colour: { transfer: 'bt709', primaries: 'bt709', matrix: 'gbr', range: 'full' },
    planes: paint(width, height, (x, y) => {
      const band = Math.min(3, bandHeight === 0 ? Math.floor((y * 4) / height) : Math.floor(y / bandHeight));
      const row =
        bandHeight === 0 ? 0 : Math.min(rows - 1, Math.floor(((y - band * bandHeight) * rows) / bandHeight));
      const code = Math.floor(((row * width + x) * codes) / (rows * width));
      switch (band) {
        case 0:
          return grey(code);
        case 1:
          return [code, 0, 0];
        case 2:
          return [0, code, 0];
        default:
          return [0, 0, code];
      }
    }),
  };
}
