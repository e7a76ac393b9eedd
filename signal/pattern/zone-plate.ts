import { chromaLevels, encodeLuma } from '../quantise.js';
import { type PatternPicture, paint } from './pattern-picture.js';

/**
 * A circular zone plate: rings whose frequency rises linearly from the centre to the Nyquist limit at the
 * left and right edge. Scaling, subsampling or interlacing without filter shows as false rings. It is grey,
 * so that errors in chroma are visible too.
 */
export function zonePlate({
  width,
  height,
  depth,
}: {
  width: number;
  height: number;
  depth: number;
}): PatternPicture {
  const { neutral } = chromaLevels(depth, 'narrow');
  // Phase k r^2 advances by 2 k r a sample: pi, two samples a cycle, at r = width / 2.
  const k = Math.PI / width;
  return {
    title: 'Circular zone plate up to the Nyquist limit',
    source: 'common practice, no source',
    width,
    height,
    depth,
    colour: { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709', range: 'narrow' },
    planes: paint(width, height, (x, y) => {
      const dx = x - (width - 1) / 2;
      const dy = y - (height - 1) / 2;
      return [encodeLuma(0.5 + 0.5 * Math.cos(k * (dx * dx + dy * dy)), depth, 'narrow'), neutral, neutral];
    }),
  };
}
