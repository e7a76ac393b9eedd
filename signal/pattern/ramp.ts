import { maxCode } from '../quantise.js';
import { grey, type PatternPicture, paint } from './pattern-picture.js';

/**
 * Every code of a depth, left to right, in four bands: grey, red, green, blue. What is narrower than its codes are many shows
 * every so many; sizes from 2^depth up show all.
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
  return {
    title: `Ramps of every ${depth}-bit code: grey, red, green, blue`,
    source: 'every code value once, in order',
    width,
    height,
    depth,
    colour: { transfer: 'bt709', primaries: 'bt709', matrix: 'gbr', range: 'full' },
    planes: paint(width, height, (x, y) => {
      const code = Math.floor((x * codes) / width);
      switch (Math.floor((y * 4) / height)) {
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
