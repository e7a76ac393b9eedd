import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

vi.setConfig({ testTimeout: 240_000, hookTimeout: 240_000 });

let shop: Workshop;
const path = (...names: string[]): string => join(shop.folder, ...names);

beforeAll(async () => {
  shop = await openWorkshop();
  await mkdir(path('card'));
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=0.4', '-c:v', 'ffv1'],
    path('card', 'a.mov'),
  ]);
  await writeFile(path('copy.yaml'), copyTarget());
  await writeFile(path('crew'), '#!/bin/sh\ncat > "$1.json"; echo x >> "$1"\n', { mode: 0o755 });
});
afterAll(() => shop.close());

const lines = async (file: string): Promise<number> =>
  (await readFile(path(file), 'utf8').catch(() => '')).split('\n').filter(Boolean).length;

it('a worker tells it by its settings, once a run, and a batch that is retried tells its end anew', async () => {
  const command = [path('crew'), path('told')];
  await writeFile(path('settings.yaml'), JSON.stringify({ 'notify-command': command }));
  await shop.start(['submit', 'card', '-t', 'copy.yaml', '--out', 'shared']);
  const work = () => shop.start(['work', '--until-empty', '--root', '.', '--settings', 'settings.yaml']);
  expect((await work()).exitCode).toBe(0);
  expect((await work()).exitCode).toBe(0);
  expect(await lines('told')).toBe(1);
  const told = JSON.parse(await readFile(path('told.json'), 'utf8'));
  const written = JSON.parse(await readFile(path('shared', 'batch.json'), 'utf8'));
  expect(told).toMatchObject({ ...written, out: path('shared'), report: path('shared', 'report.html') });

  await rm(path('card', 'a.mov.moved'), { force: true });
  await shop.start(['submit', 'card', '-t', 'copy.yaml', '--out', 'shared']);
  expect((await work()).exitCode).toBe(0);
  expect(await lines('told')).toBe(2);
});

it('what fails there is told by run and status, and changes neither exit code nor batch', async () => {
  const secret = 'http://anna:pw@127.0.0.1:1/token';
  const args = ['run', 'card', '-t', 'copy.yaml', '--out', 'out', '--notify-url', secret];
  const ran = await shop.start([...args, '--notify-command', 'false']);
  // A copy passes: nothing is required of it.
  expect(ran.exitCode).toBe(0);
  const told = `${ran.stderr}${(await shop.start(['status', 'out'])).stdout}`;
  expect(told.match(/the command false was not told that the batch is over: it ended with 1/g)).toHaveLength(
    2,
  );
  expect(told.match(/the address http:\/\/127\.0\.0\.1:1 was not told/g)).toHaveLength(2);
  const log = await readFile(path('out', 'logs', 'batch.log'), 'utf8');
  for (const text of [told, log, await readFile(path('out', 'notice.json'), 'utf8')])
    expect(text).not.toMatch(/anna|pw@|token/);
  expect(JSON.parse(await readFile(path('out', 'batch.json'), 'utf8')).state).toBe('finished');
});

it('a wrong address or program is refused before anything is done, its secrets unsaid', async () => {
  const run = (...more: string[]) =>
    shop.start(['run', 'card', '-t', 'copy.yaml', '--out', 'never', ...more]);
  const address = await run('--notify-url', 'ftp://anna:pw@host/token');
  expect([address.exitCode, address.stderr]).toEqual([2, expect.not.stringMatching(/anna|pw|token/)]);
  expect((await run('--notify-command', './crew')).stderr).toMatch(/absolute path/);
  await writeFile(path('url.yaml'), 'notify-url: https://anna:pw@host/token\nredis: redis://:queuepw@host\n');
  const doctor = await shop.start(['doctor', '--settings', 'url.yaml']);
  expect(doctor.stdout).toMatch(/notify-url: https:\/\/host/);
  expect(doctor.stdout).not.toMatch(/anna|pw@|token|queuepw/);
});
