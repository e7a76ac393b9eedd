import { mkdir, readFile, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { findings as findingsSchema } from '../../jobs/verdict/findings.js';
import { verdict as verdictSchema } from '../../jobs/verdict/verdict.js';
import { openWorkshop, type Workshop } from './goodgate.js';

const MAIN = new URL('../../dist/cli/main.js', import.meta.url).pathname;

let shop: Workshop;
beforeAll(async () => {
  shop = await openWorkshop();
  const card = join(shop.folder, "card 'A'");
  await mkdir(card);
  await mkdir(join(shop.folder, 'targets'));
  // Two mono tracks, so that the proxy's sound is a mix whose recipe stands in the plan; camera log without a
  // tag.
  const make = (name: string, seconds: number) =>
    execa('ffmpeg', [
      ...['-v', 'error', '-f', 'lavfi', '-i', `testsrc2=s=128x72:r=25:d=${seconds}`],
      ...['-f', 'lavfi', '-i', `sine=f=440:r=48000:d=${seconds}`],
      ...['-f', 'lavfi', '-i', `sine=f=660:r=48000:d=${seconds}`],
      ...['-map', '0', '-map', '1', '-map', '2', '-c:v', 'prores_ks', '-pix_fmt', 'yuv422p10le'],
      ...['-c:a', 'pcm_s24le', '-timecode', '10:00:00:00', '-movflags', '+faststart', join(card, name)],
    ]);
  await make('whole.mov', 1);
  await make('half.mov', 2);
  // With its index in front, a copy that stopped half-way is readable and short.
  await truncate(
    join(card, 'half.mov'),
    Math.floor((await readFile(join(card, 'half.mov'))).byteLength * 0.6),
  );
  await writeFile(
    join(shop.folder, 'targets', 'house rules.yaml'),
    'schema: goodgate/target@1\nname: house-rules\ntitle: House rules\nrequire:\n  raster: { width: 1920, height: 1080 }\n  timecode: { start: "10:00:00:00" }\n  frame-rate: { is: ["25/1"] }\n',
  );
  await writeFile(
    join(shop.folder, 'night.yaml'),
    [
      'schema: goodgate/manifest@1',
      'title: Night',
      `root: "card 'A'"`,
      'defaults:',
      '  colour: { transfer: S-Log3, primaries: S-Gamut3.Cine }',
      '  targets: [intermediate-422-10, proxy-h264, "targets/house rules.yaml"]',
      'clips: [{ file: whole.mov }, { file: half.mov }]',
      '',
    ].join('\n'),
  );
});
afterAll(() => shop.close());

/** Commands of a page, as a reader copies them. */
function commandsOf(page: string): string[] {
  return [...page.matchAll(/Judge again<\/span> <code>([^<]*)<\/code>/g)].map(([, command = '']) =>
    command
      .replaceAll('&#39;', "'")
      .replaceAll('&quot;', '"')
      .replaceAll('&lt;', '<')
      .replaceAll('&gt;', '>')
      .replaceAll('&amp;', '&'),
  );
}

it('the command of every judged file of a report gives the same verdict again', async () => {
  const run = await shop.start(['run', 'night.yaml', '--out', 'out']);
  expect(run.exitCode, String(run.stderr)).toBe(1);
  const out = join(shop.folder, 'out');
  const batch = batchSchema.parse(JSON.parse(await readFile(join(out, 'batch.json'), 'utf8')));
  const judged = batch.clips.flatMap(({ items }) => items);
  // Both clips to three targets each.
  expect(judged).toHaveLength(6);
  expect(batch.totals).toMatchObject({ results: 6, clips: 2 });
  expect(new Set(judged.map(({ word }) => word)).size).toBeGreaterThan(1);
  let compared = 0;
  for (const item of judged) {
    const page = await readFile(join(out, (item.measurement ?? '').replace(/\.json$/, '.html')), 'utf8');
    const [command = ''] = [...new Set(commandsOf(page))];
    expect(command).toMatch(/^goodgate check /);
    // As a person pastes it into a shell in the batch folder.
    const { stdout, stderr } = await execa(
      'bash',
      ['-c', `goodgate() { node "${MAIN}" "$@"; }\n${command} --json`],
      {
        cwd: out,
        env: { GOODGATE_STATE: join(shop.folder, 'state'), REDIS_URL: '' },
        reject: false,
        stdin: 'ignore',
      },
    );
    const again = findingsSchema.safeParse(JSON.parse(stdout === '' ? '{}' : stdout));
    expect(again.success, `${command}\n${stderr}`).toBe(true);
    const first = verdictSchema.parse(JSON.parse(await readFile(join(out, item.verdict ?? ''), 'utf8')));
    expect(
      again.data?.verdicts.map(({ verdict, findings, target }) => ({ verdict, findings, target })),
    ).toEqual([{ verdict: first.verdict, findings: first.findings, target: first.target }]);
    compared += 1;
  }
  expect(compared).toBe(6);
});

it('a copy of a damaged original is as damaged, and says so only beside its original', async () => {
  const copy = join('out', 'proxy-h264', 'half.mp4');
  const check = async (more: readonly string[]) => {
    const { stdout } = await shop.start([
      'check',
      copy,
      '--target',
      'proxy-h264',
      '--format',
      'json',
      ...more,
    ]);
    const [verdict] = findingsSchema.parse(JSON.parse(String(stdout))).verdicts;
    return verdict?.findings.find(({ requirement }) => requirement === 'as-original');
  };
  expect((await check([]))?.outcome).toBe('unmeasured');
  const beside = await check(['--original', join("card 'A'", 'half.mov')]);
  expect(beside?.outcome).toBe('fail');
  expect(beside?.measured).toContain('the original ends early');
});

it('a second run finds everything there, says so and keeps the dates; report makes the same pages again', async () => {
  const page = () => readFile(join(shop.folder, 'out', 'report.html'), 'utf8');
  const first = batchSchema.parse(JSON.parse(await readFile(join(shop.folder, 'out', 'batch.json'), 'utf8')));
  const before = await page();
  const again = await shop.start(['run', 'night.yaml', '--out', 'out']);
  expect(String(again.stdout)).toContain('2 of 2 clips were already there');
  const second = batchSchema.parse(
    JSON.parse(await readFile(join(shop.folder, 'out', 'batch.json'), 'utf8')),
  );
  expect([second.startedAt, second.finishedAt]).toEqual([first.startedAt, first.finishedAt]);
  expect(second.totals).toEqual(first.totals);
  await writeFile(join(shop.folder, 'out', 'report.html'), '');
  const remade = await shop.start(['report', 'out']);
  expect(remade.exitCode, String(remade.stderr)).toBe(0);
  // The time of the work too, which a second run does not have.
  expect(await page()).toBe(before);
  expect((await shop.start(['report', 'targets'])).exitCode).toBe(2);
});
