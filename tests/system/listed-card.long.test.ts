import { cp, mkdir, open, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

let shop: Workshop;
const path = (...parts: string[]): string => join(shop.folder, ...parts);

beforeAll(async () => {
  shop = await openWorkshop();
  await mkdir(path('A001', 'Clips'), { recursive: true });
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', 'testsrc2=s=64x64:r=25:d=0.2,format=yuv420p'],
    // Uncompressed: a byte that flips in it is a picture like any other, and no decoder complains.
    ...['C001', 'C002', 'C003'].flatMap((name) => [
      ...['-c:v', 'rawvideo', path('A001', 'Clips', `${name}.mkv`)],
    ]),
  ]);
  await writeFile(path('copy.yaml'), copyTarget());
});
afterAll(() => shop.close());

it('a clip that the list names and the card lacks is told by name and needs the user', async () => {
  await cp(path('A001'), path('D004'), { recursive: true });
  await writeFile(path('D004', 'notes.txt'), 'x');
  expect((await shop.start(['attest', 'D004'])).exitCode).toBe(0);
  for (const gone of ['Clips/C002.mkv', 'Clips/C003.mkv', 'notes.txt']) await rm(path('D004', gone));

  const plan = await shop.start(['plan', 'D004', '--target', 'copy.yaml']);
  expect(plan.exitCode).toBe(3);
  const planned = String(plan.stdout).replace(/\s+/g, ' ');
  expect(planned).toContain('(Clips/C002.mkv, Clips/C003.mkv): unreadable: it is missing');
  expect(planned).toContain('1 file in the hash list of the card, no clip by name, missing: notes.txt');

  const run = await shop.start(['run', 'D004', '--target', 'copy.yaml', '--out', 'short']);
  expect(run.exitCode, run.stderr?.toString()).toBe(3);
  expect(String(run.stderr)).toContain('no clip by name, missing: notes.txt');
  const { clips, unreadable, totals } = batchSchema.parse(
    JSON.parse(await readFile(path('short', 'batch.json'), 'utf8')),
  );
  expect(clips.map(({ name, state }) => [name, state])).toEqual([['Clips/C001.mkv', 'done']]);
  expect(unreadable.map(({ file }) => file)).toEqual(['Clips/C002.mkv', 'Clips/C003.mkv']);
  expect(totals).toMatchObject({ unreadable: 2, needYou: 2, results: 3 });
  const report = await readFile(path('short', 'report.html'), 'utf8');
  for (const text of [String(run.stdout) + String(run.stderr), report.replace(/<wbr>/g, '')]) {
    expect(text).toContain('Clips/C002.mkv');
    expect(text).toContain('attest --ignore');
  }

  // What is meant to be gone can be taken off the list.
  await shop.start(['attest', 'D004', '--ignore', 'C00[23].mkv', '--ignore', 'notes.txt']);
  expect((await shop.start(['plan', 'D004', '--target', 'copy.yaml'])).exitCode).toBe(0);
});

it('a damaged clip of a card with a hash list is refused by name, the others are made and attested', async () => {
  expect((await shop.start(['attest', 'A001'])).exitCode).toBe(0);
  // After the list: one byte in the middle of a picture, and a clip the list does not know.
  const file = await open(path('A001', 'Clips', 'C002.mkv'), 'r+');
  const { size } = await file.stat();
  await file.write(Buffer.from([0xa5]), 0, 1, Math.floor(size / 2));
  await file.close();

  const run = ['run', 'A001', '--target', 'copy.yaml', '--out', 'out', '--attest'];
  const first = await shop.start(run);
  expect(first.exitCode, first.stderr).toBe(3);
  const { clips } = batchSchema.parse(JSON.parse(await readFile(path('out', 'batch.json'), 'utf8')));
  expect(clips.map(({ name, state, error }) => [name, state, error?.code ?? null])).toEqual([
    ['Clips/C001.mkv', 'done', null],
    ['Clips/C002.mkv', 'failed', 'clip-damaged'],
    ['Clips/C003.mkv', 'done', null],
  ]);
  const made = (await readdir(path('out', 'copy', 'Clips'))).sort();
  expect(made).toEqual(['C001.mkv', 'C003.mkv']);
  expect(first.stderr).toContain('2 files in the hash list copy/ascmhl/0001_copy_');
  const verified = await shop.start(['verify', 'out/copy', '--json']);
  expect(JSON.parse(String(verified.stdout))).toMatchObject({ verdict: 'pass', totals: { verified: 2 } });
});

it('a list that is not the one its chain knows stops the run before anything is read', async () => {
  const home = path('A001', 'ascmhl');
  const [name = ''] = (await readdir(home)).filter((each) => each.endsWith('.mhl'));
  const text = await readFile(join(home, name), 'utf8');
  await writeFile(join(home, name), text.replace('goodgate', 'somebody'));
  const run = await shop.start(['run', 'A001', '--target', 'copy.yaml', '--out', 'other']);
  expect(run.exitCode).toBe(2);
  expect(run.stderr).toContain('the hash list of the card is not whole');
  expect((await shop.start(['verify', 'A001'])).exitCode).toBe(1);
});

it('plan names the clips that the list does not', async () => {
  await mkdir(path('B002', 'ascmhl'), { recursive: true });
  await writeFile(path('B002', 'notes.txt'), 'x');
  expect((await shop.start(['attest', 'B002'])).exitCode).toBe(0);
  await cp(path('A001', 'Clips', 'C001.mkv'), path('B002', 'a.mkv'));
  const { stdout } = await shop.start(['plan', 'B002', '--target', 'copy.yaml']);
  expect(stdout).toContain('1 clip is not in the hash list of the card');
});
