import { mkdir, readdir, rename, symlink } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { openWorkshop, type Workshop } from './goodgate.js';

let shop: Workshop;
beforeEach(async () => {
  shop = await openWorkshop();
  await mkdir(join(shop.folder, 'vol', 'card'), { recursive: true });
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=0.4'],
    ...['-c:v', 'ffv1', join(shop.folder, 'vol', 'card', 'clip.mov')],
  ]);
});
afterEach(() => shop.close());

const WORK = ['work', '--root', 'vol', '--until-empty', '--log-level', 'silent'];

async function allBelow(folder: string): Promise<string[]> {
  const entries = await readdir(join(shop.folder, folder), { recursive: true });
  return entries.map(String).sort();
}

async function submit(out: string): Promise<void> {
  const submitted = await shop.start(['submit', 'vol/card', '--target', 'intermediate-422-10', '--out', out]);
  expect(submitted.exitCode, submitted.stderr).toBe(0);
}

/** It does nothing of the batch, says why, and nothing has failed: others may do it. */
async function expectLeft(): Promise<void> {
  const worked = await shop.start(WORK);
  expect(worked.exitCode, worked.stderr).toBe(3);
  expect(worked.stderr).toContain('outside-roots');
  const status = await shop.start(['status', '--json']);
  expect(JSON.parse(String(status.stdout))).toMatchObject([
    { clips: [{ clip: 'clip.mov', state: 'waiting' }], report: { state: 'waiting', path: null } },
  ]);
}

describe('a worker writes nothing outside its roots, whatever the queue says', () => {
  it('not the log, not a result, not an output of a batch folder elsewhere', async () => {
    await submit('elsewhere');
    const before = await allBelow('elsewhere');
    await expectLeft();
    expect(await allBelow('elsewhere')).toEqual(before);
  });

  it('not through a symbolic link below a batch folder that is its own', async () => {
    await submit('vol/out');
    await mkdir(join(shop.folder, 'elsewhere'));
    await symlink(join(shop.folder, 'elsewhere'), join(shop.folder, 'vol', 'out', 'intermediate-422-10'));
    await expectLeft();
    expect(await allBelow('elsewhere')).toEqual([]);
  });

  it('and reads no clip outside them', async () => {
    await submit('vol/out');
    await rename(join(shop.folder, 'vol', 'card'), join(shop.folder, 'moved'));
    await symlink(join(shop.folder, 'moved'), join(shop.folder, 'vol', 'card'));
    await expectLeft();
    expect(await allBelow('vol/out')).not.toContain('intermediate-422-10/clip.mov');
  });

  it('and does its work where all lies under them', async () => {
    await submit('vol/out');
    const worked = await shop.start(WORK);
    expect(worked.exitCode, worked.stderr).toBe(0);
    expect(await allBelow('vol/out')).toContain('intermediate-422-10/clip.mov');
  });
});

describe('the programs named in the environment are the ones used', () => {
  it.each([
    ['GOODGATE_FFPROBE', ['scan', 'vol/card']],
    ['GOODGATE_FFPROBE', ['measure', 'vol/card/clip.mov']],
    ['GOODGATE_FFMPEG', ['plan', 'vol/card', '--target', 'proxy-h264']],
    ['GOODGATE_FFMPEG', ['work', '--until-empty']],
  ])('%s by %j', async (name, args) => {
    const ended = await shop.start(args, {
      env: { GOODGATE_STATE: join(shop.folder, 'state'), REDIS_URL: '', [name]: '/nonexistent/program' },
    });
    expect(ended.exitCode).toBe(3);
    expect(`${ended.stderr}`).toContain('/nonexistent/program');
  });
});
