import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Colour } from '../../../../../jobs/manifest/colour.js';
import { rgbToRgbMatrix } from '../../../../../signal/gamut/convert.js';
import { transform3, type Vector3 } from '../../../../../signal/matrix3.js';
import { chromaPosition, lumaPosition } from '../../../../../signal/quantise.js';
import { PQ } from '../../../../../signal/transfer/pq.js';
import { rgbToYcbcr } from '../../../../../signal/ycbcr.js';
import type { FrameReading } from '../../../../../workers/measure/picture/kernel/picture-kernel.js';
import { r103Steps } from '../../../../../workers/measure/picture/plan/signal-limits.js';
import { ScalarKernel } from '../../../../oracle/scalar-kernel.js';
import { expectKernelsAlike, planOf } from './kernels-alike.js';
import { type NaivePicture, packPlanes } from './naive-picture.js';

// The kernel settles by quick sums what is clear, and works out exactly what is close to a limit. These
// pictures are close to limits everywhere: the places where quick and exact sums disagree.

const WIDTH = 64;
const HEIGHT = 12;

/** A picture of one colour, Y', Cb, Cr as positions between codes, with a code of noise on each sample. */
function flat(
  [y, cb, cr]: Vector3,
  depth: number,
  colour: Colour,
  shiftY: 0 | 1,
  noise: () => number,
): NaivePicture {
  const top = 2 ** depth - 1;
  const plane = (count: number, centre: number): number[] =>
    Array.from({ length: count }, () =>
      Math.min(Math.max(Math.round(centre + 1.5 * (noise() - 0.5)), 0), top),
    );
  const chroma = (WIDTH / 2) * (HEIGHT >> shiftY);
  return {
    width: WIDTH,
    height: HEIGHT,
    depth,
    interlaced: false,
    model: 'ycbcr',
    shiftX: 1,
    shiftY,
    colour,
    planes: [plane(WIDTH * HEIGHT, y), plane(chroma, cb), plane(chroma, cr)],
  };
}

function codePositions([y, cb, cr]: Vector3, depth: number): Vector3 {
  return [
    lumaPosition(y, depth, 'narrow'),
    chromaPosition(cb, depth, 'narrow'),
    chromaPosition(cr, depth, 'narrow'),
  ];
}

function byOracle(picture: NaivePicture): FrameReading {
  const kernel = new ScalarKernel(planOf(picture));
  kernel.slots[0]?.set(packPlanes(picture));
  return kernel.measure(0);
}

const unit = fc.double({ min: 0, max: 1, noNaN: true });
const depths = fc.constantFrom(8, 10, 12);
const shifts = fc.constantFrom(0 as const, 1 as const);

function alike(make: (noise: () => number) => NaivePicture, stream: Iterator<number>): NaivePicture {
  const picture = make(() => stream.next().value ?? 0);
  expectKernelsAlike([picture]);
  return picture;
}

describe('close to limits the kernel finds what the oracle finds', () => {
  it('where a channel lies on a limit of R 103', () => {
    const colour: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
    let between = 0;
    fc.assert(
      fc.property(
        fc.record({
          depth: depths,
          shiftY: shifts,
          high: fc.boolean(),
          channel: fc.integer({ min: 0, max: 2 }),
        }),
        fc.tuple(unit, unit, unit),
        fc.infiniteStream(unit),
        ({ depth, shiftY, high, channel }, others, stream) => {
          const limits = r103Steps(depth, 'narrow');
          const narrow = (step: number): number => (step / 2 ** (26 - depth) / 2 ** (depth - 8) - 16) / 219;
          const edge = narrow(high ? limits.max : limits.min);
          // The others between black and white, so that the one channel alone decides.
          const rgb = others.map((value, i) =>
            i === channel ? edge : 0.1 + 0.8 * value,
          ) as unknown as Vector3;
          const codes = codePositions(rgbToYcbcr(rgb, 'bt709'), depth);
          const picture = alike((noise) => flat(codes, depth, colour, shiftY, noise), stream);
          const { outsideR103 } = byOracle(picture);
          if (outsideR103 > 0 && outsideR103 < WIDTH * HEIGHT) between++;
        },
      ),
      { numRuns: 120 },
    );
    // Else the pictures were not on the limit, and nothing was tried.
    expect(between).toBeGreaterThan(8);
  });

  it('where a colour lies on the edge of P3, in PQ and HLG', () => {
    const fromP3 = rgbToRgbMatrix('smpte432', 'bt2020');
    let between = 0;
    fc.assert(
      fc.property(
        fc.record({ depth: depths, shiftY: shifts, channel: fc.integer({ min: 0, max: 2 }) }),
        fc.tuple(unit, unit, unit),
        fc.constantFrom(1, 30, 400, 4000),
        fc.infiniteStream(unit),
        ({ depth, shiftY, channel }, others, nits, stream) => {
          const colour: Colour = {
            primaries: 'bt2020',
            transfer: 'smpte2084',
            matrix: 'bt2020nc',
            range: 'narrow',
          };
          // The tolerance is a hundredth of the largest: one component of P3 there, another at the peak.
          const p3 = others.map((value, i) =>
            i === channel ? -0.01 : i === (channel + 1) % 3 ? 1 : value,
          ) as unknown as Vector3;
          const light = transform3(fromP3, p3).map((value) => Math.max(value, 0));
          const signal = light.map((value) => PQ.inverseEotf(value * nits)) as unknown as Vector3;
          const codes = codePositions(rgbToYcbcr(signal, 'bt2020nc'), depth);
          const picture = alike((noise) => flat(codes, depth, colour, shiftY, noise), stream);
          const outside = byOracle(picture).light?.outsideP3 ?? 0;
          if (outside > 0 && outside < WIDTH * HEIGHT) between++;
          // A plan for HLG takes long to make.
          if (nits === 30)
            expectKernelsAlike([{ ...picture, colour: { ...colour, transfer: 'arib-std-b67' } }]);
        },
      ),
      { numRuns: 60 },
    );
    expect(between).toBeGreaterThan(4);
  });

  it('where the largest and the smallest values of the rows lie closer together than a quick sum is exact', () => {
    const colour: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
    fc.assert(
      fc.property(
        depths,
        fc.array(fc.integer({ min: -30, max: 30 }), { minLength: HEIGHT, maxLength: HEIGHT }),
        fc.boolean(),
        (depth, steps, high) => {
          const code = 2 ** (depth - 8);
          const side = high ? -1 : 1;
          // BT.709-6: green is Y' - 0.187 Cb - 0.468 Cr; along such a line it stays where it is but for the
          // rounding to codes.
          const rows = steps.map((step) => ({
            cb: 128 * code + side * 60 * code + step * code,
            cr: Math.round(128 * code + side * 60 * code - (step * code * 0.187324) / 0.468124),
          }));
          const chroma = (pick: (row: { cb: number; cr: number }) => number): number[] =>
            rows.flatMap((row) => Array<number>(WIDTH / 2).fill(pick(row)));
          const picture = flat([120 * code, 0, 0], depth, colour, 0, () => 0.5);
          const [luma = []] = picture.planes;
          expectKernelsAlike([
            { ...picture, planes: [luma, chroma(({ cb }) => cb), chroma(({ cr }) => cr)] },
          ]);
        },
      ),
      { numRuns: 100 },
    );
  });

  it('where the brightest pixels of HLG lie closer together than a quick sum is exact, dark and bright, of any hue', () => {
    const colour: Colour = {
      primaries: 'bt2020',
      transfer: 'arib-std-b67',
      matrix: 'bt2020nc',
      range: 'narrow',
    };
    const seen = new Set<number>();
    fc.assert(
      fc.property(
        fc.record({ depth: depths, shiftY: shifts, level: fc.constantFrom(0, 0.004, 0.05, 0.4, 0.9, 1.09) }),
        fc.tuple(unit, unit, unit),
        fc.boolean(),
        fc.infiniteStream(unit),
        ({ depth, shiftY, level }, hue, neutral, stream) => {
          const most = Math.max(...hue, 1e-3);
          const signal = hue.map((value) => (neutral ? level : (level * value) / most)) as unknown as Vector3;
          const codes = codePositions(rgbToYcbcr(signal, 'bt2020nc'), depth);
          const picture = alike((noise) => flat(codes, depth, colour, shiftY, noise), stream);
          const [brightest = 0] = byOracle(picture).light?.peak ?? [];
          seen.add(brightest);
        },
      ),
      { numRuns: 30 },
    );
    expect(seen.size).toBeGreaterThan(5);
  });
});
