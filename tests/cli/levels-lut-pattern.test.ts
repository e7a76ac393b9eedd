import { mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Command } from 'commander';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { register as registerLevels } from '../../cli/commands/levels.js';
import { register as registerLut } from '../../cli/commands/lut.js';
import { register as registerPattern } from '../../cli/commands/pattern.js';
import { GoodgateError } from '../../jobs/errors.js';
import { parseCube } from '../../signal/lut/cube-format.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-cli-'));
});
afterAll(() => rm(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

async function run(...args: string[]): Promise<{ out: string; err: string }> {
  const text = { out: '', err: '' };
  vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    text.out += String(chunk);
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockImplementation((chunk) => {
    text.err += String(chunk);
    return true;
  });
  const program = new Command('goodgate').exitOverride();
  for (const register of [registerLevels, registerLut, registerPattern]) register(program);
  for (const command of program.commands) command.exitOverride();
  try {
    await program.parseAsync(['node', 'goodgate', ...args]);
  } finally {
    vi.restoreAllMocks();
  }
  return text;
}

describe('levels', () => {
  it('prints one document with --json: every scale where none is asked', async () => {
    const { out } = await run('levels', '61%', '--from', 'S-Log3', '--json');
    const levels: unknown = JSON.parse(out);
    if (!Array.isArray(levels)) throw new Error('no array');
    expect(levels.length).toBeGreaterThan(15);
    for (const level of levels) {
      expect(Object.keys(level)).toEqual([
        'scale',
        'code8',
        'code10',
        'code12',
        'percent',
        'nits',
        'reflectance',
        'stops',
      ]);
    }
    const [one] = JSON.parse(
      (await run('levels', '598', '--from', 'S-Log3', '--to', 'S-Log3', '--json')).out,
    );
    expect(one).toMatchObject({ scale: 'S-Log3', code10: 598, nits: null });
  });
  it('takes the words of the trade for scales, and shows them beside the names', async () => {
    const [hlg] = JSON.parse((await run('levels', '203nits', '--from', 'PQ', '--to', 'hlg', '--json')).out);
    // BT.2408-8 Table 1: 203 cd/m2 are 58 % PQ and 75 % HLG.
    expect(hlg).toMatchObject({ scale: 'arib-std-b67', code10: 721 });
    const { out } = await run('levels', '598', '--from', 'SLog3', '--all');
    for (const name of ['smpte2084 (PQ)', 'arib-std-b67 (HLG)', 'bt709 (Rec.709)', 'iec61966-2-1 (sRGB)'])
      expect(out).toContain(name);
  });
  it('answers with its own scale and the few that matter, or with those asked for, and with no card', async () => {
    const rows = async (...args: string[]) =>
      [...(await run('levels', ...args)).out.matchAll(/^([A-Za-z]\S*).* \d+ +[\d.]+ +(?:[\d.]+|-)$/gm)].map(
        ([, name]) => name,
      );
    expect(await rows('598', '--from', 'SLog3')).toEqual(['S-Log3', 'bt709', 'smpte2084', 'arib-std-b67']);
    expect(await rows('203nits', '--from', 'PQ')).toEqual(['smpte2084', 'bt709', 'arib-std-b67']);
    expect(await rows('203nits', '--to', 'HLG', '--to', 'v-log')).toEqual(['arib-std-b67', 'V-Log']);
    // Scales of one curve have one row: BT.601, BT.2020 at 10 bits and BT.1886 are BT.709's.
    const all = await rows('36%', '--from', 'reflectance', '--all');
    expect(all).not.toContain('smpte170m');
    expect((await run('levels', '36%', '--from', 'reflectance', '--all')).out).toContain(
      'smpte170m (Rec.601)',
    );
    expect((await run('levels', '0%', '--from', 'PQ')).out).toMatch(/^bt709/m);
  });
  it('says whether a bare number was taken for a code or for percent', async () => {
    expect((await run('levels', '50', '--from', 'PQ')).out).toMatch(
      /^50 on smpte2084 \(PQ\) was read as a code value of 10 bits; percent is written 50%/,
    );
    expect((await run('levels', '50%', '--from', 'PQ')).out).toMatch(
      /^50% on .* percent of the narrow range/,
    );
  });
  it('lists every name on demand, and names the nearest to a slip', async () => {
    const { out } = await run('levels', '--names');
    for (const name of ['smpte2084', 'Hybrid Log-Gamma', 'S-Gamut3.Cine', 'P3-D65', 'bt2020nc'])
      expect(out).toContain(name);
    const names = JSON.parse((await run('levels', '--names', '--json')).out);
    expect(names.primaries).toContainEqual({ name: 'smpte432', aliases: ['P3-D65', 'Display P3'] });
    await expect(run('levels', '61%', '--from', 'S-Log9')).rejects.toMatchObject({
      what: '"S-Log9" is not a known scale; the nearest is S-Log3',
      next: expect.stringContaining('goodgate levels --names'),
    });
  });
  it('takes a negative level as a value', async () => {
    const [one] = JSON.parse((await run('levels', '-1stops', '--to', 'reflectance', '--json')).out);
    expect(one.reflectance).toBeCloseTo(0.09, 12);
  });
  it('prints the card of a crew within 80 columns, and where rule and formula differ', async () => {
    const { out } = await run('levels');
    for (const args of [[], ['--names'], ['61%', '--from', 'S-Log3', '--all']])
      for (const line of (await run('levels', ...args)).out.split('\n'))
        expect(line.length).toBeLessThanOrEqual(80);
    expect(out).toMatch(/18 % grey.*skin.*90 % white/);
    expect(out).toMatch(/DIFFERS .*HLG/);
    expect(out.replace(/\s+/g, ' ')).toMatch(/HLG row puts that white at 72\.9 %.*BT\.2408/);
    expect(out).toContain('common practice, no source');
  });
  it.each([
    [['61%'], /--from/],
    [['sixty', '--from', 'S-Log3'], /sixty/],
    [['61%', '--from', 'S-Log9'], /S-Log9/],
    [['--unknown'], /--unknown/],
  ])('refuses %j', async (args, reason) => {
    await expect(run('levels', ...args)).rejects.toSatisfy(
      (error) => error instanceof GoodgateError && error.code === 'bad-option' && reason.test(error.what),
    );
  });
});

describe('lut', () => {
  it('writes a .cube of the size asked, and tells of its error on stderr only', async () => {
    const path = join(folder, 'out.cube');
    const { out, err } = await run(
      'lut',
      '--from',
      'S-Log3',
      '--to',
      'bt709',
      '--size',
      '9',
      '--exposure',
      '+0.5',
      '-o',
      path,
    );
    expect(out).toBe('');
    expect(err.replace(/\n/g, ' ')).toMatch(/exposed \+0.5 stops/);
    expect(err).toContain(`cube: ${path}, 9 points an edge\n`);
    // The share that is as good as exact stands before the worst.
    expect(err.replace(/\n/g, ' ')).toMatch(/ \d+\.\d % within half a code, .*worst \d/);
    for (const line of err.split('\n'))
      expect(line.length).toBeLessThanOrEqual(Math.max(80, path.length + 40));
    const cube = parseCube(await readFile(path, 'utf8'));
    expect(cube.cube?.size).toBe(9);
    expect(cube.title).toBe('S-Log3/S-Gamut3.Cine to bt709/bt709');
  });
  it('takes the words of the trade for colours', async () => {
    const path = join(folder, 'trade.cube');
    await run('lut', '--from', 'SLog3/SGamut3Cine', '--to', 'Rec.709', '--size', '2', '-o', path);
    expect(parseCube(await readFile(path, 'utf8')).title).toBe('S-Log3/S-Gamut3.Cine to bt709/bt709');
  });
  it('refuses what has no meaning, before it writes', async () => {
    const path = join(folder, 'never.cube');
    const bad = join(folder, 'bad.cube');
    await writeFile(bad, 'LUT_3D_SIZE 2\n');
    for (const args of [
      ['--from', 'bt709', '--to', 'S-Log3'],
      ['--from', 'S-Log3', '--to', 'bt709', '--size', '1000'],
      ['--from', 'S-Log3', '--to', 'bt709', '--exposure', 'bright'],
      ['--from', 'S-Log9', '--to', 'bt709'],
      ['--from', 'S-Log3', '--to', 'bt709', '--look', bad],
    ]) {
      await expect(run('lut', ...args, '-o', path)).rejects.toBeInstanceOf(GoodgateError);
    }
    await expect(stat(path)).rejects.toThrow();
  });
  it('says of a curve it does not know which is nearest, and how to write one', async () => {
    await expect(
      run('lut', '--from', 'S-Log9', '--to', 'bt709', '-o', join(folder, 'never.cube')),
    ).rejects.toMatchObject({
      what: '"S-Log9" is not a known transfer function; the nearest is S-Log3',
      where: '--from',
      next: expect.stringMatching(/TRANSFER\/PRIMARIES.*levels --names/),
    });
  });
});

describe('pattern', () => {
  it('writes a file, and nothing under its name when it cannot', async () => {
    const path = join(folder, 'ramp.mkv');
    await run('pattern', 'ramp', '--size', '64x16', '--frames', '2', '--rate', '30000/1001', '-o', path);
    expect((await stat(path)).size).toBeGreaterThan(0);
    // What is there is replaced only when told to, and each says where it wrote.
    const again = ['ramp', '--size', '64x16', '--frames', '2', '-o', path];
    await expect(run('pattern', ...again)).rejects.toMatchObject({ code: 'bad-option', where: path });
    expect((await run('pattern', ...again, '--force')).err).toContain(`pattern: ${path}, 2 frames\n`);
    await expect(run('pattern', 'zoneplate', '-o', path)).rejects.toMatchObject({
      what: '"zoneplate" is no test picture; the nearest is zone-plate',
    });
    for (const args of [
      ['nothing', '-o', join(folder, 'a.mkv')],
      ['rp219', '--size', '64x36', '-o', join(folder, 'a.mkv')],
      ['ramp', '--size', 'big', '-o', join(folder, 'a.mkv')],
      ['ramp', '--depth', '11', '-o', join(folder, 'a.mkv')],
      ['ramp', '--rate', '0', '-o', join(folder, 'a.mkv')],
      ['ramp', '-o', join(folder, 'a.mp4')],
    ]) {
      await expect(run('pattern', ...args)).rejects.toBeInstanceOf(GoodgateError);
    }
    await expect(stat(join(folder, 'a.mkv'))).rejects.toThrow();
  });
});
