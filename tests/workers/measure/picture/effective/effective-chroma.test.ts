import { describe, expect, it } from 'vitest';
import { ycbcrToRgb } from '../../../../../signal/ycbcr.js';
import { effectiveChroma } from '../../../../../workers/measure/picture/effective/chroma-figures.js';
import {
  gradient,
  KERNELS,
  type KernelName,
  mix,
  type Plane,
  plane,
  quantise,
  type Resampling,
  texture,
  throughFewer,
  throughFewerBothWays,
  titles,
  transpose,
} from './chroma-planes.js';
import { planOf, spectraOf } from './observe.js';

// The truth of every picture here is how it was made: chroma of all samples, or of half of them and filtered
// up again.
const WIDTH = 320;
const HEIGHT = 192;
const DEPTH = 10;
const GAIN = 140;
/** Codes of grain, put over the finished picture as coding and grading do. */
const GRAIN = 1;

type Pair = readonly [Plane, Plane];
const TEXTURE: Pair = [texture(WIDTH, HEIGHT, 1), texture(WIDTH, HEIGHT, 2)];
const TITLES: Pair = [
  mix([1, titles(WIDTH, HEIGHT, 3)], [0.1, texture(WIDTH, HEIGHT, 5)]),
  mix([1, titles(WIDTH, HEIGHT, 4)], [0.1, texture(WIDTH, HEIGHT, 6)]),
];
const LUMA = quantise(texture(WIDTH, HEIGHT, 9), DEPTH, GAIN);
const KERNEL_NAMES = Object.keys(KERNELS) as KernelName[];
const WAYS: readonly Resampling[] = KERNEL_NAMES.flatMap((up) =>
  (['co', 'mid'] as const).map(
    (siting) => ({ down: up === 'lanczos' ? 'lanczos' : 'bilinear', up, siting }) as const,
  ),
);

function frame([cb, cr]: Pair, grain = GRAIN): Uint16Array[] {
  return [LUMA, quantise(cb, DEPTH, GAIN, grain, 11), quantise(cr, DEPTH, GAIN, grain, 12)];
}
const both = (pair: Pair, change: (p: Plane) => Plane): Pair => [change(pair[0]), change(pair[1])];

function chromaOf444(pair: Pair, grain = GRAIN, codec = 'ffv1'): ReturnType<typeof effectiveChroma> {
  const plan = planOf('yuv444p10le', WIDTH, HEIGHT);
  return effectiveChroma(spectraOf(plan, [frame(pair, grain)]), plan, codec);
}

/** A plane of half the width, for 4:2:2. */
const everySecond = (p: Plane): Plane =>
  plane(p.width / 2, p.height, (x, y) => p.values[y * p.width + 2 * x] ?? 0);

describe('4:4:4', () => {
  it.each([
    ['texture', TEXTURE],
    ['titles on whole pixels', TITLES],
  ] as const)('%s of its own', (_, pair) => {
    expect(chromaOf444(pair)).toEqual({ declared: '4:4:4', effective: '4:4:4', confidence: 'high' });
  });

  describe.each(WAYS)('by way of half the samples, $down down, $up up, $siting-sited', (how) => {
    it.each([
      ['texture', TEXTURE],
      ['titles', TITLES],
    ] as const)('%s across: 4:2:2', (_, pair) => {
      const found = chromaOf444(both(pair, (p) => throughFewer(p, how)));
      expect(found).toEqual({ declared: '4:4:4', effective: '4:2:2', confidence: 'high' });
    });
    it('texture across and down: 4:2:0', () => {
      const found = chromaOf444(both(TEXTURE, (p) => throughFewerBothWays(p, how)));
      expect(found).toEqual({ declared: '4:4:4', effective: '4:2:0', confidence: 'high' });
    });
  });

  it.each([
    ['no chroma at all', [plane(WIDTH, HEIGHT, () => 0), plane(WIDTH, HEIGHT, () => 0)], 0],
    ['a gradient', [gradient(WIDTH, HEIGHT), gradient(WIDTH, HEIGHT)], 0],
    ['a gradient under grain', [gradient(WIDTH, HEIGHT), gradient(WIDTH, HEIGHT)], 4],
    ['nothing but grain', [plane(WIDTH, HEIGHT, () => 0), plane(WIDTH, HEIGHT, () => 0)], 12],
    // Bars: edges on even samples are the same in 4:2:2 and in 4:4:4.
    ['upright bars', [bars(0), bars(1)], 0],
  ] as const)('%s: it cannot be told', (_, [cb, cr], grain) => {
    expect(chromaOf444([cb, cr], grain)).toEqual({ declared: '4:4:4', effective: null, confidence: 'low' });
  });

  it('strongly compressed: genuine detail cannot be proved, interpolated samples can', () => {
    const how = { down: 'bilinear', up: 'bicubic', siting: 'mid' } as const;
    const half = both(TEXTURE, (p) => throughFewer(p, how));
    expect(chromaOf444(TEXTURE, GRAIN, 'h264')).toMatchObject({ effective: null, confidence: 'low' });
    expect(chromaOf444(half, GRAIN, 'h264').effective).toBe('4:2:2');
  });

  it('edges of coding blocks are no sign of fewer samples', () => {
    // Blocks of 8 x 8 and of 4 x 4 that kept their mean and a slope: what strong compression leaves.
    for (const size of [8, 4]) {
      const found = chromaOf444(
        both(TEXTURE, (p) => blocks(p, size)),
        0,
      );
      expect(found).toEqual({ declared: '4:4:4', effective: null, confidence: 'low' });
    }
  });

  it('grain over chroma scaled up from half is no detail: never 4:4:4', () => {
    const how = { down: 'bilinear', up: 'bilinear', siting: 'mid' } as const;
    for (const grain of [2, 4, 8, 16, 32]) {
      const found = chromaOf444(
        both(TEXTURE, (p) => throughFewer(p, how)),
        grain,
      );
      expect(found.effective).not.toBe('4:4:4');
    }
  });
});

function blocks(p: Plane, size: number): Plane {
  const at = (x: number, y: number): number =>
    p.values[Math.min(y, p.height - 1) * p.width + Math.min(x, p.width - 1)] ?? 0;
  return plane(p.width, p.height, (x, y) => {
    const [x0, y0] = [x - (x % size), y - (y % size)];
    let mean = 0;
    let slope = 0;
    for (let i = 0; i < size; i++) {
      for (let j = 0; j < size; j++) {
        mean += at(x0 + i, y0 + j) / size ** 2;
        slope += (at(x0 + i, y0 + j) * (i - (size - 1) / 2) * 12) / (size ** 2 * (size ** 2 - 1));
      }
    }
    return mean + slope * (x - x0 - (size - 1) / 2);
  });
}

function bars(shift: number): Plane {
  return plane(WIDTH, HEIGHT, (x) => (((Math.floor(x / 40) + shift) % 4) - 1.5) / 4);
}

describe('4:2:2', () => {
  const half = both(TEXTURE, everySecond);
  const plan = planOf('yuv422p10le', WIDTH, HEIGHT);
  // Two frames: a small plane of half the width holds too few windows to be sure of.
  const chromaOf = (pair: Pair) =>
    effectiveChroma(spectraOf(plan, [frame(pair), frame([pair[1], pair[0]], 2)]), plan, 'prores');

  it('of its own', () => {
    expect(chromaOf(half)).toEqual({ declared: '4:2:2', effective: '4:2:2', confidence: 'high' });
  });
  it.each(WAYS)('by way of half the lines, $down down, $up up, $siting-sited: 4:2:0', (how) => {
    const found = chromaOf(both(half, (p) => transpose(throughFewer(transpose(p), how))));
    expect(found).toEqual({ declared: '4:2:2', effective: '4:2:0', confidence: 'high' });
  });

  it.each(['h264', 'hevc', 'mpeg2video'])(
    'half the lines under %s: looks like 4:2:0, but coding alone can do that to genuine 4:2:2',
    (codec) => {
      const how = { down: 'bilinear', up: 'bilinear', siting: 'mid' } as const;
      const made = both(half, (p) => transpose(throughFewer(transpose(p), how)));
      const found = effectiveChroma(
        spectraOf(plan, [frame(made), frame([made[1], made[0]], 2)]),
        plan,
        codec,
      );
      expect(found).toEqual({ declared: '4:2:2', effective: '4:2:0', confidence: 'low' });
    },
  );

  describe('interlaced', () => {
    const interlaced = planOf('yuv422p10le', WIDTH, HEIGHT, 'interlaced-tff');
    const inFields = (p: Plane, change: (field: Plane) => Plane): Plane => {
      const field = (parity: number): Plane =>
        change(plane(p.width, p.height / 2, (x, y) => p.values[(2 * y + parity) * p.width + x] ?? 0));
      const [even, odd] = [field(0), field(1)];
      return plane(
        p.width,
        p.height,
        (x, y) => (y % 2 === 0 ? even : odd).values[(y >> 1) * p.width + x] ?? 0,
      );
    };
    const seen = (pairs: readonly Pair[]) =>
      effectiveChroma(
        spectraOf(
          interlaced,
          pairs.map((pair) => frame(pair)),
        ),
        interlaced,
        'ffv1',
      );
    const many = Array.from({ length: 5 }, (_, i): Pair => {
      const [cb, cr] = [texture(WIDTH, HEIGHT, 30 + i), texture(WIDTH, HEIGHT, 40 + i)];
      return both([cb, cr], everySecond);
    });
    it('all lines of both fields', () => {
      expect(seen(many)).toMatchObject({ effective: '4:2:2', confidence: 'high' });
    });
    it.each(['nearest', 'bilinear', 'bicubic'] as const)(
      'half the lines of each field, %s up: 4:2:0',
      (up) => {
        const how = { down: 'bilinear', up, siting: 'mid' } as const;
        const made = many.map((pair) =>
          both(pair, (p) => inFields(p, (field) => transpose(throughFewer(transpose(field), how)))),
        );
        expect(seen(made)).toMatchObject({ effective: '4:2:0', confidence: 'high' });
      },
    );
    it('half the lines of the frame: 4:2:0', () => {
      const how = { down: 'bilinear', up: 'bilinear', siting: 'mid' } as const;
      const made = many.map((pair) => both(pair, (p) => transpose(throughFewer(transpose(p), how))));
      expect(seen(made)).toMatchObject({ effective: '4:2:0', confidence: 'high' });
    });
  });
});

describe('other layouts', () => {
  it('RGB counts as 4:4:4', () => {
    const plan = planOf('gbrp10le', WIDTH, HEIGHT);
    const luma = texture(WIDTH, HEIGHT, 50);
    const rgbOf = ([cb, cr]: Pair): Uint16Array[] => {
      const dark = luma.values.map((y) => y * 0.25);
      const channel = (index: 0 | 1 | 2): Uint16Array => {
        const made = plane(WIDTH, HEIGHT, (x, y) => {
          const i = y * WIDTH + x;
          return ycbcrToRgb([dark[i] ?? 0, 0.2 * (cb.values[i] ?? 0), 0.2 * (cr.values[i] ?? 0)], 'bt709')[
            index
          ];
        });
        return quantise(made, DEPTH, 500);
      };
      return [channel(1), channel(2), channel(0)];
    };
    const seen = (pair: Pair) => effectiveChroma(spectraOf(plan, [rgbOf(pair)]), plan, 'ffv1');
    expect(seen(TEXTURE)).toEqual({ declared: '4:4:4', effective: '4:4:4', confidence: 'high' });
    const how = { down: 'bilinear', up: 'bicubic', siting: 'co' } as const;
    expect(seen(both(TEXTURE, (p) => throughFewer(p, how)))).toMatchObject({
      effective: '4:2:2',
      confidence: 'high',
    });
  });

  it.each([
    ['yuv420p10le', '4:2:0', '4:2:0', 'high'],
    ['gray10le', '4:0:0', '4:0:0', 'high'],
    ['yuv411p', '4:1:1', null, 'low'],
  ] as const)('%s: %s, effectively %s', (format, declared, effective, confidence) => {
    const plan = planOf(format, WIDTH, HEIGHT);
    expect(effectiveChroma(spectraOf(plan, []), plan, 'ffv1')).toEqual({ declared, effective, confidence });
  });

  it.each([
    [2, 2],
    [63, 40],
    [65, 67],
    [129, 71],
  ])('%i x %i pixels are read without harm', (width, height) => {
    const plan = planOf('yuv444p10le', width, height);
    const codes = quantise(texture(width, height, 60), DEPTH, GAIN);
    expect(effectiveChroma(spectraOf(plan, [[codes, codes, codes]]), plan, 'ffv1').effective).toBeNull();
  });
});

describe('sums', () => {
  it('of the parts are those of the whole, and whole numbers', () => {
    const plan = planOf('yuv444p10le', WIDTH, HEIGHT);
    const [a, b] = [frame(TEXTURE), frame(TITLES)];
    const whole = spectraOf(plan, [a, b]);
    const parts = [spectraOf(plan, [a]), spectraOf(plan, [b])] as const;
    expect(whole.every(Number.isInteger)).toBe(true);
    expect(whole.some((sum, i) => sum !== (parts[0][i] ?? 0) + (parts[1][i] ?? 0))).toBe(false);
  });
});
