import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runCommand } from './run-command.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-nothing-'));
  await mkdir(join(folder, 'empty'));
  await mkdir(join(folder, 'card'));
  await writeFile(join(folder, 'card', 'A001C001.mov'), 'no clip');
  await writeFile(
    join(folder, 'untargeted.yaml'),
    'schema: goodgate/manifest@1\ntitle: T\nroot: card\nclips: [{ file: A001C001.mov }, { file: b.mov }]\n',
  );
});
afterAll(() => rm(folder, { recursive: true }));

/** All of these are wrong requests, which end with 2. */
describe('a request with nothing to do is refused in one sentence', () => {
  it.each([
    ['scan', []],
    ['plan', ['--target', 'proxy-h264']],
    ['run', ['--target', 'proxy-h264']],
    ['submit', ['--target', 'proxy-h264']],
  ])('%s of an empty folder, or one whose disk is not there', async (command, options) => {
    await expect(runCommand(command, join(folder, 'empty'), ...options)).rejects.toMatchObject({
      ...{ code: 'nothing-to-do', family: 'request', what: 'there is no clip here' },
      ...{ where: join(folder, 'empty'), next: expect.stringContaining('mounted') },
    });
    // No batch folder is left beside it.
    expect(await readdir(folder)).toEqual(['card', 'empty', 'untargeted.yaml']);
  });

  it.each(['plan', 'run', 'submit'])('%s without a target', async (command) => {
    await expect(runCommand(command, join(folder, 'untargeted.yaml'))).rejects.toMatchObject({
      ...{ code: 'nothing-to-do', what: 'no target is named, neither here nor by the manifest' },
    });
  });

  it('check of a folder says that it is one, and what to do', async () => {
    await expect(
      runCommand('check', join(folder, 'card'), '--target', 'hd-sdr-master'),
    ).rejects.toMatchObject({
      ...{ code: 'missing-file', what: expect.stringContaining('this is a folder') },
      next: expect.stringMatching(/\*\.mov.*goodgate run .*card --target/),
    });
  });
});

it('scan writes to stdout where the file is -, and makes none of that name', async () => {
  const { out } = await runCommand('scan', join(folder, 'card'), '-o', '-');
  expect(out).toContain('schema: goodgate/manifest@1');
  await expect(readdir('.')).resolves.not.toContain('-');
});
