import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makePattern, type PatternName, type PatternShape } from '../../signal/pattern/patterns.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import { writePattern } from '../../workers/pattern/write-pattern.js';
import { probeClip } from '../../workers/probe/probe-clip.js';

/**
 * Decoded files against the tables. ITU-R BT.2111-2 (12/2020) and SMPTE RP 219-1:2014, from transcriptions that agree with
 * each other; the documents' own text was not read.
 */
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-bars-'));
});
afterAll(() => rm(folder, { recursive: true }));

/** Rows of runs: [first column, code triplet]. Codes in the file's order: R, G, B or Y, Cb, Cr. */
type Codes = readonly [number, number, number];

async function decoded(name: PatternName, shape?: PatternShape) {
  const picture = makePattern(name, shape);
  const path = join(folder, `${name} it's.mkv`);
  await writePattern(picture, path, { frames: 2, frameRate: '25/1' });
  const rgb = picture.colour.matrix === 'gbr';
  const raw = join(folder, `${name}.raw`);
  const result = await runFfmpeg({
    inputs: [{ path, options: [] }],
    outputs: [
      { path: raw, options: ['-f', 'rawvideo', '-pix_fmt', `${rgb ? 'gbrp' : 'yuv444p'}${picture.depth}le`] },
    ],
  });
  expect(result.exitCode).toBe(0);
  const bytes = await readFile(raw);
  const { width, height } = picture;
  expect(bytes.length).toBe(width * height * 3 * 2 * 2);
  const frame = width * height * 3 * 2;
  expect(bytes.subarray(0, frame).equals(bytes.subarray(frame))).toBe(true);
  const sample = (plane: number, x: number, y: number): number =>
    bytes.readUInt16LE(2 * (plane * width * height + y * width + x));
  const order = rgb ? [2, 0, 1] : [0, 1, 2];
  const at = (x: number, y: number): Codes => [
    sample(order[0] ?? 0, x, y),
    sample(order[1] ?? 0, x, y),
    sample(order[2] ?? 0, x, y),
  ];
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
  return { facts: await probeClip(path), at, runs, width, height };
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
  ])('$name', async ({ name, transfer, range, main, low, high, grey40, steps, ramp, nearBlack, colours }) => {
    const { facts, at, runs } = await decoded(name);
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
    expect(facts.video?.colour).toMatchObject({ primaries: 'bt2020', transfer, range });
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
  it('codes and columns', async () => {
    const { facts, at, runs } = await decoded('rp219');
    for (const [x, y, codes] of TABLE) {
      for (const [i, got] of at(x, y).entries())
        expect(Math.abs(got - (codes[i] ?? -9)), `${x},${y}`).toBeLessThanOrEqual(1);
    }
    expect(runs(0).map(({ length }) => length)).toEqual([240, 205, 206, 206, 206, 206, 206, 205, 240]);
    expect(runs(810).map(({ length }) => length)).toEqual([240, 309, 411, 171, 69, 68, 69, 68, 69, 206, 240]);
    for (let x = 446; x < 1475; x += 1) expect(at(x, 720)[0]).toBeGreaterThanOrEqual(at(x - 1, 720)[0]);
    expect(facts.video?.colour).toEqual({
      primaries: 'bt709',
      transfer: 'bt709',
      matrix: 'bt709',
      range: 'narrow',
    });
  });
});

describe('pictures of our own', () => {
  it.each([10, 12])('ramp: every code of %d bits in order', async (depth) => {
    const width = 2 ** depth;
    const { at } = await decoded('ramp', { width, height: 16, depth });
    for (let x = 0; x < width; x += 1) {
      expect([at(x, 0), at(x, 4), at(x, 8), at(x, 15)]).toEqual([grey(x), [x, 0, 0], [0, x, 0], [0, 0, x]]);
    }
  });
  it('zone plate: white at the centre, a line a sample at the edge, no colour', async () => {
    const { at, width, height } = await decoded('zone-plate', { width: 321, height: 181, depth: 10 });
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
    // cos(pi / width * r^2): the same all round.
    expect(at(160 + 60, 90)).toEqual(at(160, 90 + 60));
  });
});
