import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Pairs, PICTURE } from './pairs.js';

/**
 * Copies that only lost detail, or nothing: no mistake may be named. Pictures a coder treats badly are among
 * them: grain on a flat ground, which it flattens; flat colours, which it shifts by a code or two.
 */
const SIZE = 's=192x108:r=25';
const PICTURES = [
  { picture: 'shapes under grain', source: PICTURE },
  { picture: 'grain on grey', source: `color=gray:${SIZE},noise=alls=20:all_seed=5:allf=t` },
  { picture: 'colour bars', source: `smptehdbars=${SIZE}` },
  {
    picture: 'a slow ramp',
    source: `gradients=${SIZE}:c0=black:c1=white:n=2:x0=0:y0=0:x1=191:y1=0:speed=0.01`,
  },
  { picture: 'a fractal', source: `mandelbrot=s=192x108:rate=25:start_scale=1.2:end_scale=0.9:end_pts=12` },
];

const X264 = ['-c:v', 'libx264', '-preset', 'veryfast'];
const X265 = ['-c:v', 'libx265', '-preset', 'ultrafast', '-x265-params', 'log-level=none'];
const CODED: readonly (readonly [string, string, readonly string[]])[] = [
  ['ffv1', 'yuv422p10le', ['-c:v', 'ffv1']],
  ['h264 without loss', 'yuv444p10le', [...X264, '-qp', '0']],
  ['h264 crf 18', 'yuv420p', [...X264, '-crf', '18']],
  ['h264 crf 28', 'yuv420p', [...X264, '-crf', '28']],
  ['h264 crf 40', 'yuv420p', [...X264, '-crf', '40']],
  ['h264 crf 30, 10 bits', 'yuv422p10le', [...X264, '-crf', '30']],
  ['hevc crf 20', 'yuv420p10le', [...X265, '-crf', '20']],
  ['hevc crf 36', 'yuv444p12le', [...X265, '-crf', '36']],
  ['prores proxy', 'yuv422p10le', ['-c:v', 'prores_ks', '-profile:v', 'proxy']],
  ['prores hq', 'yuv422p10le', ['-c:v', 'prores_ks', '-profile:v', 'hq']],
  ['prores coarse', 'yuv422p10le', ['-c:v', 'prores_ks', '-q:v', '40']],
  ['prores 4444', 'yuv444p10le', ['-c:v', 'prores_ks', '-profile:v', '4444']],
  ['cineform', 'yuv422p10le', ['-c:v', 'cfhd', '-quality', 'film3+']],
  ['cineform low', 'yuv422p10le', ['-c:v', 'cfhd', '-quality', 'low']],
  ['cineform rgb', 'gbrp12le', ['-c:v', 'cfhd', '-quality', 'film1']],
  ['mpeg-2', 'yuv420p', ['-c:v', 'mpeg2video', '-q:v', '8']],
  ['mpeg-2 4:2:2', 'yuv422p', ['-c:v', 'mpeg2video', '-q:v', '20']],
  ['mpeg-4', 'yuv420p', ['-c:v', 'mpeg4', '-q:v', '12']],
  ['wmv 8', 'yuv420p', ['-c:v', 'wmv2', '-q:v', '10']],
  ['jpeg 2000', 'yuv444p', ['-c:v', 'jpeg2000', '-q:v', '12']],
];

let pairs: Pairs;
beforeAll(async () => {
  pairs = await Pairs.begin();
});
afterAll(() => pairs.end());

describe.each(PICTURES)('$picture', ({ picture, source }) => {
  const originalOf = (pixelFormat: string): string => `${picture} ${pixelFormat}.mkv`;
  const copyOf = (index: number): string => `${picture} ${index}.mkv`;
  beforeAll(async () => {
    const deep = await pairs.draw(`${picture}.mkv`, 'yuv444p12le', source);
    const formats = [...new Set(CODED.map(([, pixelFormat]) => pixelFormat))];
    const into = (pixelFormat: string): string => `scale=flags=bicubic+accurate_rnd,format=${pixelFormat}`;
    await pairs.copy(deep, [
      ...formats.map((pixelFormat) => ({
        name: originalOf(pixelFormat),
        ...{ filters: into(pixelFormat), options: ['-c:v', 'rawvideo', '-f', 'nut'] },
      })),
      ...CODED.map(([, pixelFormat, options], index) => ({
        ...{ name: copyOf(index), filters: into(pixelFormat), options },
      })),
    ]);
    await pairs.raw([
      ...formats.map((pixelFormat) => ({ name: originalOf(pixelFormat), pixelFormat })),
      ...CODED.map(([, pixelFormat], index) => ({ name: copyOf(index), pixelFormat })),
    ]);
  });

  it.each(CODED.map(([coder, pixelFormat], index) => ({ coder, pixelFormat, index })))(
    '$coder, $pixelFormat',
    ({ pixelFormat, index }) => {
      const compared = pairs.compareRaw(originalOf(pixelFormat), copyOf(index), pixelFormat);
      expect(compared.mistake).toBeNull();
    },
  );
});
