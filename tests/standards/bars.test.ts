import { describe, expect, it } from 'vitest';
import { atRun } from '../../signal/pattern/pattern-picture.js';
import {
  hasFixedShape,
  makePattern,
  PATTERN_NAMES,
  type PatternName,
  type PatternShape,
} from '../../signal/pattern/patterns.js';

/**
 * The pictures against the tables. ITU-R BT.2111-2 (12/2020) and SMPTE RP 219-1:2014, from transcriptions
 * that agree with each other; the documents' own text was not read. That a file holds the picture:
 * tests/workers/pattern.
 */

/** Rows of runs: [first column, code triplet]: R, G, B or Y, Cb, Cr. */
type Codes = readonly [number, number, number];

function drawn(name: PatternName, shape?: PatternShape) {
  const { planes, width, height, colour } = makePattern(name, shape);
  for (const plane of planes) expect(plane.length).toBe(width * height);
  const sample = (plane: number, x: number, y: number): number => planes[plane]?.[y * width + x] ?? -1;
  const at = (x: number, y: number): Codes => [sample(0, x, y), sample(1, x, y), sample(2, x, y)];
  /** Runs of like samples along a row. */
  const runs = (y: number): { length: number; codes: Codes }[] => {
    const found: { length: number; codes: Codes }[] = [];
    for (let x = 0; x < width; x += 1) {
      const codes = at(x, y);
      const last = found.at(-1);
      if (last && last.codes.join() === codes.join()) last.length += 1;
      else found.push({ length: 1, codes });
    }
    return found;
  };
  return { colour, at, runs, width, height };
}

const grey = (code: number): Codes => [code, code, code];
const bars = (high: number, low: number): Codes[] => [
  grey(high),
  [high, high, low],
  [low, high, high],
  [low, high, low],
  [high, low, high],
  [high, low, low],
  [low, low, high],
];
const flat = (runs: readonly { length: number; codes: Codes }[]) =>
  runs.map(({ length, codes }) => `${length}: ${codes.join(' ')}`);
const wanted = (lengths: readonly number[], codes: readonly Codes[]) =>
  lengths.map((length, i) => `${length}: ${codes[i]?.join(' ')}`);

const NARROW = {
  low: 64,
  high: 940,
  grey40: 414,
  steps: [4, 64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940, 1019],
  ramp: { from: 4, to: 1019, start: 799 },
  nearBlack: [48, 64, 80, 64, 99],
};

describe('BT.2111-2', () => {
  it.each([
    {
      name: 'bt2111-hlg' as const,
      transfer: 'arib-std-b67',
      range: 'narrow',
      main: 721,
      ...NARROW,
      colours: [
        [713, 719, 316],
        [538, 709, 718],
        [512, 706, 296],
        [651, 286, 705],
        [639, 269, 164],
        [227, 147, 702],
      ] as Codes[],
    },
    {
      name: 'bt2111-pq' as const,
      transfer: 'smpte2084',
      range: 'narrow',
      main: 572,
      ...NARROW,
      colours: [
        [568, 571, 381],
        [484, 566, 571],
        [474, 564, 368],
        [536, 361, 564],
        [530, 350, 256],
        [317, 236, 562],
      ] as Codes[],
    },
    {
      name: 'bt2111-pq-full' as const,
      transfer: 'smpte2084',
      range: 'full',
      main: 593,
      low: 0,
      high: 1023,
      grey40: 409,
      steps: [0, 0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023, 1023],
      ramp: { from: 0, to: 1023, start: 791 },
      nearBlack: [0, 0, 20, 0, 41],
      colours: [
        [589, 592, 370],
        [491, 586, 592],
        [478, 584, 355],
        [551, 347, 584],
        [544, 334, 225],
        [296, 201, 582],
      ] as Codes[],
    },
  ])('$name', ({ name, transfer, range, main, low, high, grey40, steps, ramp, nearBlack, colours }) => {
    const { colour, at, runs } = drawn(name);
    const widths = [240, 206, 206, 206, 204, 206, 206, 206, 240];
    for (const y of [0, 89]) {
      expect(flat(runs(y))).toEqual(wanted(widths, [grey(grey40), ...bars(high, low), grey(grey40)]));
    }
    for (const y of [90, 629]) {
      expect(flat(runs(y))).toEqual(wanted(widths, [grey(grey40), ...bars(main, low), grey(grey40)]));
    }
    for (const y of [630, 719]) {
      let x = 0;
      for (const [i, width] of [
        240, 206, 103, 103, 103, 103, 102, 102, 103, 103, 103, 103, 103, 103, 240,
      ].entries()) {
        const code = [main, ...steps, main][i] ?? -1;
        expect([at(x, y), at(x + width - 1, y)]).toEqual([grey(code), grey(code)]);
        x += width;
      }
      expect(x).toBe(1920);
    }
    for (const y of [720, 809]) {
      expect(at(239, y)).toEqual(grey(low));
      expect(at(240, y)).toEqual(grey(ramp.from));
      // Steps of one code a column, from the first code's last column to the last code's first.
      for (let x = ramp.start - 1; x <= 1813; x += 1)
        expect(at(x, y)).toEqual(grey(Math.min(ramp.from + x - ramp.start + 1, ramp.to)));
      expect(at(1919, y)).toEqual(grey(ramp.to));
    }
    for (const y of [810, 1079]) {
      let x = 0;
      const [yellow, cyan, green, magenta, red, blue] = colours;
      const row: [number, Codes | undefined][] = [
        [80, yellow],
        [80, cyan],
        [80, green],
        [136, grey(low)],
        ...[70, 68, 70, 68, 70].map((width, i): [number, Codes] => [width, grey(nearBlack[i] ?? -1)]),
        [238, grey(low)],
        [438, grey(main)],
        [282, grey(low)],
        [80, magenta],
        [80, red],
        [80, blue],
      ];
      for (const [width, codes] of row) {
        expect([at(x, y), at(x + width - 1, y)]).toEqual([codes, codes]);
        x += width;
      }
      expect(x).toBe(1920);
    }
    expect(colour).toEqual({ primaries: 'bt2020', transfer, matrix: 'gbr', range });
  });
});

describe('RP 219-1', () => {
  /** Y, Cb, Cr of the R, G, B codes by BT.709, calculated outside this project; tolerance one code. */
  const TABLE: readonly (readonly [x: number, y: number, codes: Codes])[] = [
    [0, 0, [414, 512, 512]],
    [240, 300, [721, 512, 512]],
    [445, 629, [674, 176, 543]],
    [651, 0, [581, 589, 176]],
    [857, 0, [534, 253, 207]],
    [1063, 0, [251, 771, 817]],
    [1269, 0, [204, 435, 848]],
    [1475, 0, [111, 848, 481]],
    [1680, 0, [414, 512, 512]],
    [0, 630, [754, 615, 64]],
    [240, 719, [721, 512, 512]],
    [1680, 630, [127, 960, 471]],
    [0, 720, [877, 64, 553]],
    [240, 720, [64, 512, 512]],
    [445, 720, [64, 512, 512]],
    [1474, 720, [940, 512, 512]],
    [1680, 809, [250, 409, 960]],
    [0, 810, [195, 512, 512]],
    [240, 810, [64, 512, 512]],
    [549, 810, [940, 512, 512]],
    [960, 810, [64, 512, 512]],
    [1131, 810, [46, 512, 512]],
    [1200, 810, [64, 512, 512]],
    [1268, 810, [82, 512, 512]],
    [1337, 1079, [64, 512, 512]],
    [1405, 1079, [99, 512, 512]],
    [1474, 1079, [64, 512, 512]],
    [1680, 1079, [195, 512, 512]],
  ];
  it('codes and columns', () => {
    const { colour, at, runs } = drawn('rp219');
    for (const [x, y, codes] of TABLE) {
      for (const [i, got] of at(x, y).entries())
        expect(Math.abs(got - (codes[i] ?? -9)), `${x},${y}`).toBeLessThanOrEqual(1);
    }
    expect(runs(0).map(({ length }) => length)).toEqual([240, 205, 206, 206, 206, 206, 206, 205, 240]);
    expect(runs(810).map(({ length }) => length)).toEqual([240, 309, 411, 171, 69, 68, 69, 68, 69, 206, 240]);
    // The ramp: a straight line from black at column 445 to white at 1474; tolerance one code.
    for (let x = 240; x < 1680; x += 1) {
      const share = Math.min(Math.max((x - 445) / (1474 - 445), 0), 1);
      expect(Math.abs(at(x, 720)[0] - (64 + 876 * share)), `${x}`).toBeLessThanOrEqual(1);
    }
    expect([at(239, 720), at(1679, 809)]).toEqual([
      [877, 64, 553],
      [940, 512, 512],
    ]);
    expect(colour).toEqual({
      primaries: 'bt709',
      transfer: 'bt709',
      matrix: 'bt709',
      range: 'narrow',
    });
  });
});

describe('pictures of our own', () => {
  it.each([10, 12])('ramp: every code of %d bits in order', (depth) => {
    const width = 2 ** depth;
    const { at } = drawn('ramp', { width, height: 16, depth });
    for (let x = 0; x < width; x += 1) {
      expect([at(x, 0), at(x, 4), at(x, 8), at(x, 15)]).toEqual([grey(x), [x, 0, 0], [0, x, 0], [0, 0, x]]);
    }
  });
  it('zone plate: white at the centre, a line a sample at the edge, no colour', () => {
    const { at, width, height } = drawn('zone-plate', { width: 321, height: 181, depth: 10 });
    expect(at(160, 90)).toEqual([940, 512, 512]);
    // Near the left edge neighbours differ by almost the whole range, near the centre by almost nothing.
    const step = (x: number): number => Math.abs(at(x, 90)[0] - at(x + 1, 90)[0]);
    expect(Math.max(step(0), step(1), step(2))).toBeGreaterThan(400);
    expect(step(160)).toBeLessThan(20);
    for (const [x, y] of [
      [0, 0],
      [width - 1, height - 1],
      [50, 100],
    ] as const)
      expect(at(x, y).slice(1)).toEqual([512, 512]);
    // cos(pi / width * r^2), the same all round; a tenth of the way out, and further.
    for (const [dx, dy] of [
      [16, 0],
      [0, 16],
      [-60, 0],
      [30, -40],
      [-100, 80],
    ] as const) {
      const wave = Math.cos((Math.PI / 321) * (dx ** 2 + dy ** 2));
      expect(Math.abs(at(160 + dx, 90 + dy)[0] - (64 + 876 * (0.5 + 0.5 * wave)))).toBeLessThanOrEqual(0.5);
    }
  });
  it("have a title and a source; only these have a shape of one's own", () => {
    for (const name of PATTERN_NAMES) {
      const shape = { width: 64, height: 32, depth: 12 };
      const { title, source, width, height, depth } = makePattern(name, shape);
      expect(title.length).toBeGreaterThan(10);
      expect(source.length).toBeGreaterThan(10);
      const standard = { width: 1920, height: 1080, depth: 10 };
      expect({ width, height, depth }).toEqual(hasFixedShape(name) ? standard : shape);
      expect(hasFixedShape(name)).toBe(name !== 'ramp' && name !== 'zone-plate');
    }
    expect(makePattern('ramp')).toMatchObject({ width: 1920, height: 1080, depth: 10 });
  });
  it('runs that do not add up to the width are told', () => {
    expect(
      atRun(
        [
          [2, 'a'],
          [3, 'b'],
        ],
        4,
      ),
    ).toEqual({ value: 'b', from: 2 });
    expect(() =>
      atRun(
        [
          [2, 'a'],
          [3, 'b'],
        ],
        5,
      ),
    ).toThrow(/position 5 is past the 5/);
  });
});

describe('ramp', () => {
  it.each<readonly [PatternShape, string]>([
    [{ width: 1920, height: 1080, depth: 10 }, 'every 10-bit code'],
    [{ width: 1920, height: 1080, depth: 12 }, 'every 12-bit code'],
    [{ width: 300, height: 60, depth: 12 }, 'every 12-bit code'],
    [{ width: 64, height: 16, depth: 10 }, '256 of the 1024 codes of 10 bits'],
  ])('%o holds the codes it claims, in order, in each band', (shape, claim) => {
    const { planes, title, width, height } = makePattern('ramp', shape);
    expect(title).toContain(claim);
    const bands = [[0, 1, 2], [0], [1], [2]];
    const count = Number(/^(\d+) of/.exec(claim)?.[1] ?? 2 ** shape.depth);
    for (const [band, lit] of bands.entries()) {
      const from = (band * height * width) / 4;
      for (const [channel, plane] of planes.entries()) {
        const codes = [...plane.slice(from, from + (height * width) / 4)];
        if (!lit.includes(channel)) expect(new Set(codes)).toEqual(new Set([0]));
        else expect(new Set(codes).size).toBe(count);
      }
    }
  });
});
