import { appendFile, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { pino } from 'pino';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { checkFiles } from '../../cli/check/check-files.js';
import { readEnvironment } from '../../cli/environment.js';
import { buildProgram } from '../../cli/program.js';
import { loadTarget } from '../../jobs/targets/load-target.js';
import { localDay, waiversFile } from '../../jobs/verdict/waivers.js';

let folder: string;
let master: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-check-waived-'));
  master = join(folder, 'master.mkv');
  const picture = ['-f', 'lavfi', '-i', 'color=gray:s=64x36:r=25:d=0.4'];
  await execa('ffmpeg', ['-v', 'error', ...picture, '-c:v', 'ffv1', '-pix_fmt', 'yuv422p10le', master]);
});
afterAll(() => rm(folder, { recursive: true }));
afterEach(() => void vi.useRealTimers());

async function check() {
  const target = await loadTarget('hd-sdr-master', { baseFolder: folder });
  const environment = readEnvironment({ ...process.env, GOODGATE_STATE: join(folder, 'state') });
  const { signal } = new AbortController();
  const log = pino({ level: 'silent' });
  const checked = await checkFiles([master], [target], {
    ...{ environment, colour: undefined, signal, log, report: null },
  });
  const findings = checked.verdicts[0]?.findings ?? [];
  return (name: string) => findings.find(({ requirement }) => requirement === name);
}
const waive = async (...args: string[]) => {
  const words = ['waive', master, '--by', 'R. Ibarra', '--why', 'A small screen.', ...args];
  const program = await buildProgram(words);
  return program.parseAsync(words, { from: 'user' });
};

describe('check of a master with waivers', () => {
  it('waives what goodgate waive wrote, of this file and until that day, and nothing else', async () => {
    const tomorrow = new Date(Date.now() + 24 * 3600 * 1000);
    await waive('--finding', 'raster', '--until', localDay(tomorrow), '--target', 'hd-sdr-master');
    const found = await check();
    expect(found('raster')).toMatchObject({
      outcome: 'fail',
      waiver: { by: 'R. Ibarra', why: 'A small screen.' },
    });
    expect(found('colour')).toMatchObject({ outcome: 'fail', waiver: null });
    expect(found('waiver')).toBeUndefined();

    vi.useFakeTimers({ toFake: ['Date'], now: Date.now() + 3 * 24 * 3600 * 1000 });
    const late = await check();
    vi.useRealTimers();
    expect(late('raster')).toMatchObject({ outcome: 'fail', waiver: null });
    expect(late('waiver')).toMatchObject({
      outcome: 'warn',
      measured: expect.stringContaining('expired on'),
    });

    // One byte after the end changes no picture, and is another file all the same.
    await appendFile(master, '\n');
    const other = await check();
    expect(other('raster')).toMatchObject({ outcome: 'fail', waiver: null });
    expect(other('waiver')).toMatchObject({ measured: expect.stringContaining('another file of this name') });
  });

  it.each<[string, string[], string]>([
    ['a day that is past', ['--finding', 'raster', '--until', '2020-01-01'], '--until 2020-01-01 is past'],
    [
      'a day that does not exist',
      ['--finding', 'raster', '--until', '2099-02-29'],
      '--until: given "2099-02-29"; allowed: a day',
    ],
    [
      'a finding that does not exist',
      ['--finding', 'rastr', '--until', '2099-01-01'],
      'the nearest is raster',
    ],
    [
      'an edge that is none',
      ['--finding', 'scan', '--until', '2099-01-01', '--from', 'ten'],
      '--from: given "ten"',
    ],
    [
      'a part past the end',
      ['--finding', 'scan', '--until', '2099-01-01', '--from', '100000'],
      'from frame 100000 on lies outside the ',
    ],
    [
      'edges of two kinds',
      ['--finding', 'scan', '--until', '2099-01-01', '--from', '1', '--to', '10:00:00:00'],
      '--from and --to',
    ],
    [
      'a target that does not exist',
      ['--finding', 'scan', '--until', '2099-01-01', '--target', 'hd-sdr'],
      'there is no target "hd-sdr"',
    ],
  ])('refuses %s, and writes nothing', async (_, args, message) => {
    const before = await readFile(waiversFile(master), 'utf8');
    await expect(waive(...args)).rejects.toMatchObject({
      family: 'request',
      what: expect.stringContaining(message),
    });
    expect(await readFile(waiversFile(master), 'utf8')).toBe(before);
  });
});
