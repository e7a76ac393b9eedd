import { existsSync, readdirSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { makeNamedPipes } from '../../../workers/ffmpeg/named-pipes.js';
import { temporaryFolder } from '../../media/known-clip.js';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
  vi.stubEnv('TMPDIR', folder.path);
});
afterAll(async () => {
  vi.unstubAllEnvs();
  await folder.remove();
});

const pathsOf = ({ pipes }: Awaited<ReturnType<typeof makeNamedPipes>>): string[] =>
  pipes.map(({ path }) => path);

it('gives each pipe to one user only, and leaves no folder behind the last', async () => {
  // More than are made at once, so that a second stock begins while the first is in use.
  const users = await Promise.all([1, 2, 3, 4, 12, 1, 0].map((count) => makeNamedPipes(count)));
  const paths = users.flatMap(pathsOf);
  expect(paths).toHaveLength(23);
  expect(new Set(paths).size).toBe(23);
  for (const path of paths) {
    expect(statSync(path).isFIFO()).toBe(true);
    expect(statSync(path).mode & 0o777).toBe(0o600);
    expect(statSync(dirname(path)).mode & 0o777).toBe(0o700);
  }
  for (const user of users.reverse()) {
    user.remove();
    // Twice is once: another user's pipes stay.
    user.remove();
    expect(pathsOf(user).filter((path) => existsSync(path))).toEqual([]);
  }
  expect(readdirSync(folder.path)).toEqual([]);
});

it('makes new ones after all were removed, and says where none can be made', async () => {
  const first = await makeNamedPipes(1);
  first.remove();
  const second = await makeNamedPipes(1);
  expect(pathsOf(second).every((path) => statSync(path).isFIFO())).toBe(true);
  second.remove();
  vi.stubEnv('PATH', join(folder.path, 'nothing'));
  const failed = { code: 'measure-failed', what: expect.stringContaining('mkfifo') };
  await expect(makeNamedPipes(1)).rejects.toMatchObject(failed);
  vi.unstubAllEnvs();
  vi.stubEnv('TMPDIR', folder.path);
  expect(readdirSync(folder.path)).toEqual([]);
  (await makeNamedPipes(1)).remove();
});
