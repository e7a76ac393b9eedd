import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { Making } from './making.js';
import { codec, HD, RGB } from './recipes.js';

let making: Making;
beforeAll(async () => {
  making = await Making.begin();
});
afterAll(() => making.end());

/** A still picture of known codes, in FFV1 of the very pixel format. */
function still(name: string, size: string, format: string, geq: string, ...more: string[]) {
  const input = `nullsrc=s=${size}:r=25,format=${format},geq=${geq}`;
  return making.source(`${name}.mkv`, input, '-frames:v', '2', '-c:v', 'ffv1', ...more);
}

interface Plane {
  readonly width: number;
  readonly height: number;
  at(x: number, y: number): number;
}

function planesOf(samples: readonly number[], sizes: readonly (readonly [number, number])[]): Plane[] {
  let from = 0;
  return sizes.map(([width, height]) => {
    const start = from;
    from += width * height;
    return { width, height, at: (x, y) => samples[start + y * width + x] ?? Number.NaN };
  });
}

describe('black bars hold the code of black', () => {
  const FULL: Colour = { ...HD, range: 'full' };
  const NARROW_RGB: Colour = { ...RGB, range: 'narrow' };
  // ITU-R BT.2100-3 Table 9: black is code 16 x 2^(n-8) of the narrow range and 0 of the full one, neutral
  // chroma 2^(n-1).
  it.each<[string, string, Colour, readonly [number, number, number]]>([
    ['10 bits, narrow', 'yuv422p10le', HD, [64, 512, 512]],
    ['10 bits, full', 'yuv422p10le', FULL, [0, 512, 512]],
    ['8 bits, narrow', 'yuv420p', HD, [16, 128, 128]],
    ['12 bits, narrow', 'yuv444p12le', HD, [256, 2048, 2048]],
    ["R'G'B' of 12 bits, full", 'gbrp12le', RGB, [0, 0, 0]],
    ["R'G'B' of 10 bits, narrow", 'gbrp10le', NARROW_RGB, [64, 64, 64]],
  ])('%s', async (_, format, colour, black) => {
    const grey = format.startsWith('gbr') ? 'r=300:g=300:b=300' : 'lum=200:cb=100:cr=90';
    const clip = await still(`grey-${format}-${colour.range}`, '64x36', format, grey);
    const video = codec('ffv1', format);
    for (const [width, height] of [
      [64, 64],
      [96, 36],
      [100, 60],
    ] as const) {
      const raster = { width, height, fit: 'pad' as const, scaledWidth: 64, scaledHeight: 36 };
      const recipe = { container: 'mkv', video, sourceColour: colour, colour, raster } as const;
      const made = await making.make({ ...recipe, frameRate: '25/1' }, clip);
      const shift = [
        format.includes('444') || format.startsWith('gbr') ? 1 : 2,
        format.includes('420') ? 2 : 1,
      ];
      const chroma = [width / (shift[0] ?? 1), height / (shift[1] ?? 1)] as const;
      const planes = planesOf(await making.frame(made.path, format), [[width, height], chroma, chroma]);
      const [left, top] = [(width - 64) / 2, (height - 36) / 2];
      for (const [index, plane] of planes.entries()) {
        const [sx, sy] = [width / plane.width, height / plane.height];
        const codes = new Set<string>();
        for (let y = 0; y < plane.height; y++)
          for (let x = 0; x < plane.width; x++) {
            const inside = x * sx >= left && x * sx < left + 64 && y * sy >= top && y * sy < top + 36;
            codes.add(`${inside ? 'picture' : 'bar'} ${plane.at(x, y)}`);
          }
        const given = format.startsWith('gbr') ? 300 : [200, 100, 90][index];
        expect([...codes].sort()).toEqual([`bar ${black[index]}`, `picture ${given}`]);
      }
    }
  });
});

describe('an odd picture keeps its last column and line', () => {
  // Every code tells its place, so that a black, shifted or missing edge shows.
  const PLACES = 'lum=40+X:cb=60+X:cr=30+Y';
  it.each<[string, OutputRecipe['container'], OutputRecipe['video']]>([
    ['ffv1 4:2:0', 'mkv', codec('ffv1', 'yuv420p')],
    ['ffv1 4:2:2', 'mov', codec('ffv1', 'yuv422p')],
  ])('%s holds it', async (name, container, video) => {
    const clip = await still(`odd ${name}`, '119x71', video.pixelFormat, PLACES);
    const raster = { width: 119, height: 71, fit: 'exact' as const, scaledWidth: 119, scaledHeight: 71 };
    const made = await making.make({ container, video, raster, frameRate: '25/1' }, clip);
    expect(made.video).toMatchObject({ width: 119, height: 71 });
    expect(await making.hash(made.path, video.pixelFormat)).toBe(
      await making.hash(clip.path, video.pixelFormat),
    );
  });

  it('h264, which cannot, repeats it, chroma as it was', async () => {
    const clip = await still('odd repeated', '119x71', 'yuv420p', PLACES);
    const raster = { width: 120, height: 72, fit: 'repeat' as const, scaledWidth: 119, scaledHeight: 71 };
    const video = codec('libx264', 'yuv420p', { lossless: true });
    const made = await making.make({ container: 'mp4', video, raster, frameRate: '25/1' }, clip);
    const [luma, cb, cr] = planesOf(await making.frame(made.path, 'yuv420p'), [
      [120, 72],
      [60, 36],
      [60, 36],
    ]);
    const wrong: string[] = [];
    for (let y = 0; y < 72; y++)
      for (let x = 0; x < 120; x++)
        if (luma?.at(x, y) !== 40 + Math.min(x, 118)) wrong.push(`luma ${x},${y} is ${luma?.at(x, y)}`);
    for (let y = 0; y < 36; y++)
      for (let x = 0; x < 60; x++)
        if (cb?.at(x, y) !== 60 + x || cr?.at(x, y) !== 30 + y) wrong.push(`chroma ${x},${y}`);
    expect(wrong).toEqual([]);
  });
});

describe('chroma of fields keeps its place', () => {
  /**
   * Chroma rises by so many codes a frame line and is the same in both fields: at frame line y it is `base +
   * slope y`. Line j of the woven 4:2:0 chroma belongs to field j mod 2 and sits at frame line 2 j + 1/2
   * (ITU-T H.264, figure 6-4 b, from memory: a quarter and three quarters of the way between two lines of a
   * field). In 4:2:2 each line of chroma sits on its line of luma.
   */

  it.each([
    [8, 'yuv420p', 'yuv422p'],
    [10, 'yuv420p10le', 'yuv422p10le'],
    [12, 'yuv420p12le', 'yuv422p12le'],
  ] as const)('from 4:2:0 of %i bits to 4:2:2', async (depth, from, to) => {
    const base = 20 * 2 ** (depth - 8);
    const slope = 2 * 2 ** (depth - 8);
    const chroma = `${base}+${slope}*(2*Y+0.5)`;
    const clip = await still(`fields-${from}`, '32x96', from, `lum=${base}:cb='${chroma}':cr='${chroma}'`);
    const video = codec('ffv1', to);
    const scan = 'interlaced-tff' as const;
    const raster = { width: 32, height: 96, fit: 'exact' as const, scaledWidth: 32, scaledHeight: 96 };
    const recipe = { container: 'mkv', video, scan, sourceScan: scan, raster, frameRate: '25/1' } as const;
    const made = await making.make(recipe, clip);
    const [, cb] = planesOf(await making.frame(made.path, to), [
      [32, 96],
      [16, 96],
    ]);
    // Half a line amiss is half the slope. Away from the first and last lines, where there is nothing to
    // interpolate from.
    for (let y = 12; y < 84; y++) {
      const exact = base + slope * y;
      expect(Math.abs((cb?.at(4, y) ?? 0) - exact), `line ${y}`).toBeLessThan(slope / 4);
    }
  });
});
