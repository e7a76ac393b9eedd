import { mkdir, readdir, rename, symlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

/** A card of one clip for each batch of a test, all on one volume. */
const CARDS = ['elsewhere', 'linked', 'moved', 'under'];
const TARGET = 'copy';

let shop: Workshop;
beforeAll(async () => {
  shop = await openWorkshop();
  await writeFile(join(shop.folder, `${TARGET}.yaml`), copyTarget(TARGET));
  const clips = CARDS.map((card) => join(shop.folder, 'vol', card, 'clip.mov'));
  for (const card of CARDS) await mkdir(join(shop.folder, 'vol', card), { recursive: true });
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=0.4'],
    ...clips.flatMap((clip) => ['-c:v', 'ffv1', clip]),
  ]);
});
afterAll(() => shop.close());

async function allBelow(folder: string): Promise<string[]> {
  const entries = await readdir(join(shop.folder, folder), { recursive: true });
  return entries.map(String).sort();
}

/** Submits a card; gives the number of the batch. */
async function submit(card: string, out: string): Promise<string> {
  const args = ['submit', `vol/${card}`, '--target', `${TARGET}.yaml`, '--out', out, '--json'];
  const submitted = await shop.start(args);
  expect(submitted.exitCode, submitted.stderr).toBe(0);
  return JSON.parse(String(submitted.stdout)).batch;
}

describe('the programs named in the environment are the ones used', () => {
  it.each([
    ['GOODGATE_FFPROBE', ['scan', 'vol/under']],
    ['GOODGATE_FFPROBE', ['measure', 'vol/under/clip.mov']],
    ['GOODGATE_FFMPEG', ['plan', 'vol/under', '--target', 'proxy-h264']],
    ['GOODGATE_FFMPEG', ['work', '--until-empty']],
  ])('%s by %j', async (name, args) => {
    const ended = await shop.start(args, {
      env: { GOODGATE_STATE: join(shop.folder, 'state'), REDIS_URL: '', [name]: '/nonexistent/program' },
    });
    expect(ended.exitCode).toBe(3);
    expect(`${ended.stderr}`).toContain('/nonexistent/program');
  });
});

it('a worker does what lies under its roots, and touches and reads nothing outside, whatever the queue says', async () => {
  const elsewhere = await submit('elsewhere', 'elsewhere');
  const before = await allBelow('elsewhere');
  // Below a batch folder that is its own, a symbolic link leads outside.
  const linked = await submit('linked', 'vol/linked-out');
  await mkdir(join(shop.folder, 'away'));
  await symlink(join(shop.folder, 'away'), join(shop.folder, 'vol', 'linked-out', TARGET));
  // The clips lie outside.
  const moved = await submit('moved', 'vol/moved-out');
  await rename(join(shop.folder, 'vol', 'moved'), join(shop.folder, 'moved'));
  await symlink(join(shop.folder, 'moved'), join(shop.folder, 'vol', 'moved'));
  const under = await submit('under', 'vol/under-out');

  const worked = await shop.start(['work', '--root', 'vol', '--until-empty', '--log-level', 'silent']);
  expect(worked.exitCode, worked.stderr).toBe(3);
  for (const batch of [elsewhere, linked, moved]) {
    expect(worked.stderr).toMatch(new RegExp(`batch ${batch} .* is not done: outside-roots`));
  }
  expect(worked.stderr).not.toContain(under);
  // Neither log nor result nor output.
  expect(await allBelow('elsewhere')).toEqual(before);
  expect(await allBelow('away')).toEqual([]);
  expect(await allBelow('vol/moved-out')).not.toContain(`${TARGET}/clip.mkv`);
  expect(await allBelow('vol/under-out')).toContain(`${TARGET}/clip.mkv`);

  // Nothing has failed: others may do it.
  const status = await shop.start(['status', '--json']);
  const states: { batch: string; clips: object[]; report: object }[] = JSON.parse(String(status.stdout));
  expect(states.map(({ batch }) => batch).sort()).toEqual([elsewhere, linked, moved, under].sort());
  for (const { batch, clips, report } of states) {
    const isUnder = batch === under;
    expect(clips, batch).toMatchObject([{ clip: 'clip.mov', state: isUnder ? 'completed' : 'waiting' }]);
    expect(report, batch).toMatchObject({ state: isUnder ? 'written' : 'waiting' });
  }
});
