import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PICTURE_CODECS } from '../../../jobs/codecs/picture-codecs.js';
import { SOUND_CODECS } from '../../../jobs/codecs/sound-codecs.js';
import type { Capabilities } from '../../../jobs/plan/capabilities.js';
import { examine } from '../../../workers/doctor/doctor.js';
import { judgeFfmpeg } from '../../../workers/doctor/ffmpeg-checks.js';
import {
  coresCheck,
  folderCheck,
  memoryCheck,
  nodeCheck,
  pipeCheck,
} from '../../../workers/doctor/machine-checks.js';
import { judgePrograms } from '../../../workers/doctor/redis-checks.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-doctor-test-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const WHOLE: Capabilities = {
  ffmpegVersion: '5.1.9',
  ffprobeVersion: '5.1.9',
  encoders: Object.fromEntries([
    ...PICTURE_CODECS.map(({ encoder, usualFormats }) => [encoder, [...usualFormats]]),
    ...SOUND_CODECS.map(({ name }) => [name, []]),
  ]),
  filters: [
    ...[
      'format',
      'fps',
      'nullsink',
      'setparams',
      'setsar',
      'showinfo',
      'sidedata',
      'zscale',
      'lut1d',
      'lut3d',
    ],
    ...['exposure', 'bwdif', 'drawtext', 'pad', 'crop', 'transpose', 'pan'],
  ],
  muxers: ['mov'],
  fontFile: '/fonts/x.ttf',
  cores: 2,
};
const withoutKey = (name: string) =>
  Object.fromEntries(Object.entries(WHOLE.encoders).filter(([key]) => key !== name));
const without = (change: Partial<Capabilities>) =>
  judgeFfmpeg({ ...WHOLE, ...change })
    .filter((check) => check.ok !== 'yes')
    .map(({ name, ok }) => [name, ok]);

describe('ffmpeg', () => {
  it('is whole when nothing is missing', () => {
    expect(without({})).toEqual([]);
  });

  it.each([
    ['4.4.1', 'no'],
    ['5.0.3', 'no'],
    ['n5.1', 'yes'],
    ['5.1.9-0+deb12u1', 'yes'],
    ['9.0', 'yes'],
    ['10.0', 'limited'],
    ['N-12345-gabc', 'limited'],
  ])('version %s: %s', (version, ok) => {
    const [check] = judgeFfmpeg({ ...WHOLE, ffmpegVersion: version, ffprobeVersion: version });
    expect(check).toMatchObject({ name: 'ffmpeg', ok });
    expect(check?.fix === null).toBe(ok === 'yes');
  });

  it.each<[string, Partial<Capabilities>, [string, string][]]>([
    ['an ffprobe of another version', { ffprobeVersion: '6.0' }, [['ffprobe', 'limited']]],
    ['an encoder', { encoders: withoutKey('libx264') }, [['encoder libx264', 'limited']]],
    ['a depth', { encoders: { ...WHOLE.encoders, libx265: ['yuv420p'] } }, [['encoder libx265', 'limited']]],
    [
      'a filter some chains need',
      { filters: WHOLE.filters.filter((name) => name !== 'zscale') },
      [['filter zscale', 'limited']],
    ],
    [
      'a filter all chains need',
      { filters: WHOLE.filters.filter((name) => name !== 'fps') },
      [['filters in every chain', 'no']],
    ],
    ['a font', { fontFile: null }, [['font', 'limited']]],
  ])('without %s', (_, change, wanted) => {
    expect(without(change)).toEqual(wanted);
  });
});

describe('Redis', () => {
  const REDIS = { program: 'redis-server', version: null };
  const VALKEY = { program: 'valkey-server', version: null };
  it.each([
    ['Redis 7', [{ ...REDIS, version: '7.0.15' }, VALKEY], false, 'yes'],
    ['Valkey 8', [REDIS, { ...VALKEY, version: '8.1.0' }], false, 'yes'],
    ['Redis 6', [{ ...REDIS, version: '6.2.1' }, VALKEY], false, 'no'],
    ['nothing', [REDIS, VALKEY], false, 'no'],
    ['nothing, but a server is named', [REDIS, VALKEY], true, 'limited'],
  ])('%s', (_, found, named, ok) => {
    expect(judgePrograms(found, named).ok).toBe(ok);
  });
});

describe('the machine', () => {
  it.each([
    ['v18.0.0', 'no'],
    ['v20.11.0', 'yes'],
    ['v24.1.0', 'yes'],
    ['v26.0.0', 'limited'],
  ])('node %s: %s', (version, ok) => {
    expect(nodeCheck(version).ok).toBe(ok);
  });

  it('counts cores and memory', () => {
    expect([coresCheck(1).ok, coresCheck(8).ok]).toEqual(['limited', 'yes']);
    expect([memoryCheck(1e9).ok, memoryCheck(8e9).ok]).toEqual(['limited', 'yes']);
  });

  it('looks at the place a folder would be made in', async () => {
    const check = await folderCheck('x', join(folder, 'not', 'yet'));
    expect(check.found).toContain(`to be made in ${folder}`);
    expect(check.found).toMatch(/\d+\.\d GB free/);
  });

  it('refuses a file in the place of a folder', async () => {
    const file = join(folder, 'file');
    await writeFile(file, '');
    expect(await folderCheck('x', file)).toMatchObject({ ok: 'no' });
    expect(await folderCheck('x', join(file, 'below'))).toMatchObject({ ok: 'no' });
  });

  it('can make named pipes here', async () => {
    expect(await pipeCheck()).toMatchObject({ name: 'named pipes', ok: 'yes' });
  });
});

describe('examine', () => {
  it('finds what this machine has', async () => {
    const checks = await examine({ stateFolder: folder, outFolder: folder });
    const names = checks.map((check) => check.name);
    expect(new Set(names).size).toBe(names.length);
    expect(checks.find((check) => check.name === 'ffmpeg')).toMatchObject({ ok: 'yes' });
    for (const check of checks) expect(check.fix === null, check.name).toBe(check.ok === 'yes');
  });

  it('reports what is missing instead of failing', async () => {
    const checks = await examine({
      stateFolder: folder,
      tools: { ffmpeg: '/nowhere/ffmpeg' },
      redisUrl: 'redis://127.0.0.1:1',
    });
    expect(checks.find((check) => check.name === 'ffmpeg')).toMatchObject({ ok: 'no' });
    expect(checks.find((check) => check.name === 'redis server')).toMatchObject({ ok: 'no' });
    expect(checks.find((check) => check.name === 'ffmpeg')?.fix).toMatch(/Debian.*macOS.*Fedora/);
  });

  it('names ffprobe when that is what is missing', async () => {
    const checks = await examine({ stateFolder: folder, tools: { ffprobe: '/nowhere/ffprobe' } });
    expect(checks.find((check) => check.ok === 'no')?.name).toBe('ffprobe');
  });
});
