import { chmod, mkdir, readdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

let shop: Workshop;

/** A clip of one grey of 8-bit Y'; two cards name theirs alike. */
async function draw(path: string, luma: number): Promise<void> {
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', 'color=black:s=64x64:r=25:d=0.2'],
    ...['-vf', `format=yuv420p,geq=lum=${luma}:cb=128:cr=128`],
    ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709', '-color_range', 'tv'],
    ...['-c:v', 'ffv1', join(shop.folder, path)],
  ]);
}

/** The grey of the first sample of an output, decoded with nothing of goodgate. */
async function greyOf(path: string): Promise<number> {
  const { stdout } = await execa(
    'ffmpeg',
    [
      '-v',
      'error',
      '-i',
      join(shop.folder, path),
      '-frames:v',
      '1',
      '-pix_fmt',
      'yuv420p',
      '-f',
      'rawvideo',
      '-',
    ],
    { encoding: 'buffer' },
  );
  return stdout[0] ?? -1;
}

const GREY = { A001: 60, B002: 120 } as const;
const PROXY = ['--target', 'proxy.yaml'];

beforeAll(async () => {
  shop = await openWorkshop();
  for (const card of ['A001', 'B002'] as const) {
    await mkdir(join(shop.folder, card));
    await draw(`${card}/C001.mkv`, GREY[card]);
  }
  await writeFile(join(shop.folder, 'proxy.yaml'), copyTarget());
});
afterAll(() => shop.close());

async function batchIn(out: string): Promise<string[]> {
  const text = await readFile(join(shop.folder, out, 'batch.json'), 'utf8');
  return batchSchema
    .parse(JSON.parse(text))
    .clips.flatMap((clip) => clip.items.map((item) => `${clip.name} ${item.path}`));
}

it('a second card joins the batch of the first, and nothing of the first is lost', async () => {
  // The first evening left a file that cannot be read, and is told of in every later report.
  await writeFile(join(shop.folder, 'A001', 'C009.mkv'), 'no film');
  const first = await shop.start(['run', 'A001', ...PROXY, '--out', 'out']);
  expect(first.exitCode, first.stderr).toBe(3);
  const madeAt = (await stat(join(shop.folder, 'out/copy/C001.mkv'))).mtimeMs;
  const second = await shop.start(['run', 'B002', ...PROXY, '--out', 'out', '--json']);
  // What cannot be read counts for the whole batch.
  expect(second.exitCode, second.stderr).toBe(3);
  const both = batchSchema.parse(JSON.parse(second.stdout));
  expect(both.state).toBe('finished');
  expect(both.clips.map(({ name, state }) => [name, state])).toEqual([
    ['C001.mkv', 'done'],
    ['B002/C001.mkv', 'done'],
  ]);
  expect(both.unreadable).toMatchObject([{ file: 'C009.mkv' }]);
  expect(both.totals).toMatchObject({ clips: 3, pass: 2, unreadable: 1 });
  expect(await greyOf('out/copy/C001.mkv')).toBe(GREY.A001);
  expect(await greyOf('out/copy/B002/C001.mkv')).toBe(GREY.B002);
  const report = await readFile(join(shop.folder, 'out', 'report.html'), 'utf8');
  for (const name of ['C001.mkv', 'B002/C001.mkv', 'C009.mkv']) expect(report).toContain(name);

  // Either card again, the first without what could not be read: it keeps its names, nothing is made again,
  // and both are in the batch.
  for (const [card, code] of [
    ['B002', 3],
    ['A001', 0],
  ] as const) {
    if (code === 0) await rm(join(shop.folder, 'A001', 'C009.mkv'));
    const again = await shop.start(['run', card, ...PROXY, '--out', 'out']);
    expect(again.exitCode, again.stderr).toBe(code);
    expect(await batchIn('out')).toEqual(['C001.mkv copy/C001.mkv', 'B002/C001.mkv copy/B002/C001.mkv']);
  }
  expect((await stat(join(shop.folder, 'out/copy/C001.mkv'))).mtimeMs).toBe(madeAt);

  // An output of the first that is gone is made again with the second: it is not fit to use unseen.
  await rm(join(shop.folder, 'out/copy/C001.mkv'));
  const whole = await shop.start(['run', 'B002', ...PROXY, '--out', 'out']);
  expect(whole.exitCode, whole.stderr).toBe(0);
  expect(await greyOf('out/copy/C001.mkv')).toBe(GREY.A001);

  // A third card of the second's name could only take its names.
  await mkdir(join(shop.folder, 'copied', 'B002'), { recursive: true });
  await draw('copied/B002/C001.mkv', 90);
  for (const command of ['plan', 'run', 'submit']) {
    const third = await shop.start([command, 'copied/B002', ...PROXY, '--out', 'out']);
    expect(third.exitCode).toBe(2);
    expect(third.stderr).toContain('of these names: B002/C001.mkv');
  }

  // Another card at the first one's mount point is another card.
  await rename(join(shop.folder, 'A001'), join(shop.folder, 'ejected'));
  await rename(join(shop.folder, 'copied/B002'), join(shop.folder, 'A001'));
  const swapped = await shop.start(['run', 'A001', ...PROXY, '--out', 'out']);
  expect(swapped.exitCode).toBe(2);
  expect(swapped.stderr).toContain('where another file lies now');
  expect(await greyOf('out/copy/C001.mkv')).toBe(GREY.A001);
  await rm(join(shop.folder, 'A001'), { recursive: true });
  await rename(join(shop.folder, 'ejected'), join(shop.folder, 'A001'));

  const given = await shop.start(['run', 'B002', ...PROXY, '--out', 'out', '--replace']);
  expect(given.exitCode, given.stderr).toBe(0);
  expect(given.stdout).toContain('no longer asked for: 1 file, which nothing judges or deletes');
  expect(await batchIn('out')).toEqual(['C001.mkv copy/C001.mkv']);
  expect(await greyOf('out/copy/C001.mkv')).toBe(GREY.B002);
}, 300_000);

it('two cards in one manifest lie in folders of their names, and grow by a clip', async () => {
  await shop.start(['scan', 'A001', 'B002', '-o', 'both.yaml']);
  const run = await shop.start(['run', 'both.yaml', ...PROXY, '--out', 'both']);
  expect(run.exitCode, run.stderr).toBe(0);
  expect(await batchIn('both')).toEqual([
    'A001/C001.mkv copy/A001/C001.mkv',
    'B002/C001.mkv copy/B002/C001.mkv',
  ]);
  expect([await greyOf('both/copy/A001/C001.mkv'), await greyOf('both/copy/B002/C001.mkv')]).toEqual([
    GREY.A001,
    GREY.B002,
  ]);
  await draw('B002/C002.mkv', 200);
  await shop.start(['scan', 'A001', 'B002', '-o', 'both.yaml', '--force']);
  const more = await shop.start(['run', 'both.yaml', ...PROXY, '--out', 'both']);
  expect(more.exitCode, more.stderr).toBe(0);
  expect(await batchIn('both')).toHaveLength(3);

  // One that was only touched is measured again, and not made again; the report doubts it until then.
  const touched = join(shop.folder, 'both/copy/A001/C001.mkv');
  const madeAt = (await stat(touched)).mtimeMs;
  await chmod(touched, 0o640);
  const doubted = await shop.start(['report', 'both']);
  expect(doubted.stdout).toContain('2 of 3 fit to use; 1 needs you.');
  expect(doubted.stdout.replaceAll(/\s+/g, ' ')).toContain('touched after it was judged');
  await writeFile(join(shop.folder, 'small.yaml'), copyTarget('small'));
  const two = await shop.start(['run', 'B002', ...PROXY, '--target', 'small.yaml', '--out', 'both']);
  expect(two.stdout, two.stderr).toContain('5 of 5 fit to use.');
  expect((await stat(touched)).mtimeMs).toBe(madeAt);
  const log = await readFile(join(shop.folder, 'both/logs/batch.log'), 'utf8');
  expect(log).toMatch(/"output":"copy\/A001\/C001.mkv","isSame":true/);

  // A target that is taken away leaves its files, and nobody takes them for judged. What an earlier run made
  // is there for this one.
  const fewer = await shop.start(['run', 'B002', ...PROXY, '--out', 'both']);
  expect(fewer.stdout, fewer.stderr).toContain('3 of 3 clips were already there');
  expect(fewer.stdout).toContain('no longer asked for: 2 files, which nothing judges or deletes');
  expect(await greyOf('both/small/B002/C001.mkv')).toBe(GREY.B002);
  expect(await readFile(join(shop.folder, 'both/report.html'), 'utf8')).toContain('No longer asked for');

  // A plan that cannot be read: nobody knows what would be lost, and plan says so as run does.
  await writeFile(join(shop.folder, 'both/plan.json'), '{"schema":');
  const broken = await shop.start(['plan', 'B002', ...PROXY, '--out', 'both']);
  expect(broken.exitCode).toBe(2);
  expect(broken.stderr).toContain('whose plan.json cannot be read');
  await rm(join(shop.folder, 'B002/C002.mkv'));
}, 300_000);

it('outputs inside the card are no clips of it, and no output lies beside originals', async () => {
  for (let time = 1; time <= 2; time += 1) {
    const run = await shop.start(['run', 'A001', ...PROXY, '--out', 'A001/made']);
    expect(run.exitCode, run.stderr).toBe(0);
    expect(await batchIn('A001/made')).toEqual(['C001.mkv copy/C001.mkv']);
  }
  const scanned = await shop.start(['scan', 'A001']);
  expect(scanned.stdout).toContain('left out: 1 × batch folder of goodgate');
  expect(scanned.stdout.match(/- file:/g)).toHaveLength(1);
  const made = await shop.start(['scan', 'A001/made']);
  expect(made.exitCode).toBe(2);
  expect(made.stderr).toContain('it is a batch folder');
  // What was made may be looked at by name.
  expect((await shop.start(['scan', 'A001/made/copy'])).stdout).toContain('- file: C001.mkv');
  const report = await shop.start(['check', 'A001/C001.mkv', '-t', 'hd-sdr-master', '--report', 'A001/made']);
  expect(report.exitCode).toBe(2);
  await rm(join(shop.folder, 'A001', 'made'), { recursive: true });

  for (const out of ['A001', '.', 'A001/../A001/']) {
    const beside = await shop.start(['run', 'A001', ...PROXY, '--out', out]);
    expect(beside.exitCode, out).toBe(2);
    expect(beside.stderr).toContain('originals lie in the folder that the outputs are to go to');
  }
  expect(await readdir(join(shop.folder, 'A001'))).toEqual(['C001.mkv']);
});

it('two targets of one name are refused, since they would share a folder', async () => {
  const text = await readFile(join(shop.folder, 'proxy.yaml'), 'utf8');
  await writeFile(join(shop.folder, 'other.yaml'), text.replace('bitDepth: 8', 'bitDepth: 10'));
  const run = await shop.start(['plan', 'A001', ...PROXY, '--target', 'other.yaml']);
  expect(run.exitCode).toBe(2);
  expect(run.stderr).toContain('two targets have the name "copy"');
});

it('workers of two private servers make each output of one folder once', async () => {
  for (const clip of [2, 3]) await draw(`B002/C00${clip}.mkv`, 40 * clip);
  const out = ['--out', 'shared'];
  const states = ['one', 'other'].map((name) => ({
    env: { GOODGATE_STATE: join(shop.folder, name), REDIS_URL: '' },
  }));
  for (const { env } of states) await shop.tellCapabilities(env.GOODGATE_STATE);
  // Both are queued before either is worked on: a submission takes back what an earlier one left.
  for (const state of states) {
    const submitted = await shop.start(['submit', 'B002', ...PROXY, ...out], state);
    expect(submitted.exitCode, submitted.stderr).toBe(0);
  }
  const work = ['work', '--root', '.', '--until-empty', '--concurrency', '2'];
  for (const worked of await Promise.all(states.map((state) => shop.start(work, state)))) {
    expect(worked.exitCode, worked.stderr).toBe(0);
  }
  const log = await readFile(join(shop.folder, 'shared', 'logs', 'batch.log'), 'utf8');
  const named = log.split('\n').filter((line) => line.includes('"msg":"output named"'));
  expect(named.map((line) => JSON.parse(line).output).sort()).toEqual(
    [1, 2, 3].map((clip) => `copy/C00${clip}.mkv`),
  );
  expect(await batchIn('shared')).toHaveLength(3);
  expect(await readdir(join(shop.folder, 'shared', '.locks'))).toEqual([]);
});
