import { mkdir, readdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, expect, it } from 'vitest';
import { newAttempt } from '../../../workers/batch/attempt.js';
import { below, temporaryName } from '../../../workers/batch/folder.js';
import { sweep } from '../../../workers/batch/sweep.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

it('sweeping takes what a dead process left half made, below any folder, and nothing else', async () => {
  const dead = execa('true');
  const { pid = 0 } = dead;
  await dead;
  const attempt = newAttempt();
  const nameOf = (made: string): string => temporaryName('proxy/day 1/A.mov', '0123456789abcdef0123', made);
  const left = nameOf(attempt.replace(/-\d+-/, `-${pid}-`));
  const living = nameOf(attempt);
  await mkdir(join(folder.path, 'proxy', 'day 1'), { recursive: true });
  for (const file of [left, living, 'proxy/day 1/A.mov', 'batch.json']) {
    await writeFile(below(folder.path, file), 'x');
  }
  await sweep(folder.path);
  expect((await readdir(join(folder.path, 'proxy', 'day 1'))).sort()).toEqual(
    [living.split('/').at(-1), 'A.mov'].sort(),
  );
  expect(await readdir(folder.path)).toContain('batch.json');
  await sweep(join(folder.path, 'not there'));
});
