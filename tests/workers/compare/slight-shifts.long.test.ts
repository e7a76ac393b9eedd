import { readFile } from 'node:fs/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Pairs, pictureOf } from './pairs.js';

/**
 * Levels that are off by less than coding noise. By how much is read from copies without loss, and a coded
 * copy has to be told to be off by as much, or nothing is told of it; of right copies nothing.
 */
const [WIDTH, HEIGHT] = [256, 144];
const TEN = 'yuv422p10le';

/** `least`: from how many codes of 10 bits on a shift has to be named. By one code an encoder is off too. */
const CODED = [
  { coder: 'without loss', format: TEN, least: 2, options: ['-c:v', 'ffv1'] },
  { coder: 'ProRes HQ', format: TEN, least: 2, options: ['-c:v', 'prores_ks', '-profile:v', 'hq'] },
  { coder: 'DNxHR HQX', format: TEN, least: 2, options: ['-c:v', 'dnxhd', '-profile:v', 'dnxhr_hqx'] },
  // Half a code of 8 bits is what rounding does: two of 10.
  {
    ...{ coder: 'DNxHR HQ, 8 bits', format: 'yuv422p', least: 4 },
    options: ['-c:v', 'dnxhd', '-profile:v', 'dnxhr_hq'],
  },
  // Which loses more of grain than these shifts change.
  { coder: 'H.264 crf 18, 10 bits', format: TEN, least: 4, options: ['-c:v', 'libx264', '-crf', '18'] },
  { coder: 'H.264 crf 18', format: 'yuv422p', least: 4, options: ['-c:v', 'libx264', '-crf', '18'] },
];

const between = (codes: string): string => `geq=lum=lum(X\\,Y)${codes}:cb=cb(X\\,Y):cr=cr(X\\,Y)`;
const gamma = (by: number): string => `lutyuv=y=64.5+876*pow((clip(val\\,64\\,940)-64)/876\\,${by})`;
const SHIFTS = [
  { what: 'as it is', filter: 'null', codes: 0, named: null },
  { what: '+1 code', filter: 'lutyuv=y=val+1', codes: 1, named: /level-shift/ },
  { what: '+2.5 codes', filter: between('+2+mod(X+Y\\,2)'), codes: 2.5, named: /level-shift/ },
  { what: '-2.5 codes', filter: between('-2-mod(X+Y\\,2)'), codes: 2.5, named: /level-shift/ },
  { what: '+4 codes', filter: 'lutyuv=y=val+4', codes: 4, named: /level-shift/ },
  // At white a gain of 0.5 % is 4.4 codes, and a gamma of 1 % 3.2 codes where it is most: on average half.
  { what: 'gain 1.005', filter: 'lutyuv=y=64.5+(val-64)*1.005', codes: 2, named: /level-shift/ },
  { what: 'gamma 0.99', filter: gamma(0.99), codes: 2, named: /gamma-shift|level-shift/ },
];
const PICTURES = [
  { picture: 'shapes under grain', source: pictureOf(WIDTH, HEIGHT) },
  { picture: 'flat colours', source: `testsrc2=s=${WIDTH}x${HEIGHT}:r=25` },
];

let pairs: Pairs;
beforeAll(async () => {
  pairs = await Pairs.begin(WIDTH, HEIGHT);
});
afterAll(() => pairs.end());

describe.each(PICTURES)('$picture', ({ picture, source }) => {
  const original = `${picture}.mkv`;
  const nameOf = (shift: number, coded: number): string => `${picture} ${shift} ${coded}.mov`;
  beforeAll(async () => {
    const path = await pairs.draw(original, TEN, source);
    const all = SHIFTS.flatMap(({ filter }, shift) =>
      CODED.map(({ format, options }, coded) => ({
        ...{ name: nameOf(shift, coded), pixelFormat: format, options },
        filters: `${filter},format=${TEN},scale=flags=accurate_rnd,format=${format}`,
      })),
    );
    await pairs.copy(path, all);
    await pairs.raw([{ name: original, pixelFormat: TEN }, ...all]);
  });

  /** Mean change of Y', in codes of 10 bits: of samples that were not coded. */
  async function changeOf(shift: number): Promise<number> {
    const [had, is] = await Promise.all([original, nameOf(shift, 0)].map(lumaOf));
    const [from, to] = [had ?? new Uint16Array(0), is ?? new Uint16Array(0)];
    return to.reduce((sum, code, i) => sum + code - (from[i] ?? 0), 0) / to.length;
  }

  const rows = SHIFTS.flatMap((each, shift) => CODED.map((to, coded) => ({ ...each, ...to, shift, coded })));
  it.each(rows)('$what, $coder', async ({ shift, coded, format, codes, named, least }) => {
    const { mistake } = pairs.compareRaw(original, nameOf(shift, coded), format, TEN);
    const told = mistake === null ? '' : `${mistake.name}: ${mistake.detail}`;
    if (named === null) return expect(told).toBe('');
    if (codes >= least) expect(told).toMatch(named);
    if (told !== '') expect(told).toMatch(named);
    const percent = /levels ([\d.]+) % of the scale (higher|lower)/.exec(told);
    if (percent === null) return;
    const is = ((Number(percent[1]) * 1024) / 100) * (percent[2] === 'higher' ? 1 : -1);
    expect(Math.abs(is - (await changeOf(shift))), told).toBeLessThan(1);
  });
});

/** Y' of all frames of a 10-bit file. */
async function lumaOf(name: string): Promise<Uint16Array> {
  const bytes = await readFile(pairs.path(`${name}.raw`));
  const samples = new Uint16Array(bytes.buffer, bytes.byteOffset, bytes.length / 2);
  const [luma, frame] = [WIDTH * HEIGHT, 2 * WIDTH * HEIGHT];
  return samples.filter((_, i) => i % frame < luma);
}
