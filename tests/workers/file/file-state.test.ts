import { appendFile, chmod, copyFile, rename, rm, truncate, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { identityOf, whileUnchanged } from '../../../workers/file/file-state.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = join(folder.path, 'clip');
const other = join(folder.path, 'other');
const TIME = new Date('2026-11-25T12:00:00Z');

beforeEach(async () => {
  await writeFile(path, 'one take');
  await writeFile(other, 'another!');
  await utimes(path, TIME, TIME);
  await utimes(other, TIME, TIME);
});

describe('whileUnchanged', () => {
  it('gives what the work gave, and the very file it was of', async () => {
    const { result, file } = await whileUnchanged(path, async (before) => before);
    expect(result).toEqual({ bytes: 8, modified: TIME.toISOString() });
    expect(file).toEqual(await identityOf(path));
    expect(file.digest).not.toBe((await identityOf(other))?.digest);
  });

  it.each<[string, () => Promise<unknown>]>([
    ['longer', () => appendFile(path, 'x')],
    ['shorter', () => truncate(path, 3)],
    [
      'overwritten, its size and time as they were',
      async () => {
        await copyFile(other, path);
        await utimes(path, TIME, TIME);
      },
    ],
    ['replaced by one of its size and time', () => rename(other, path)],
    [
      'replaced by the same bytes',
      async () => {
        await copyFile(path, other);
        await utimes(other, TIME, TIME);
        await rename(other, path);
      },
    ],
    ['taken away', () => rm(path)],
    ['given other rights', () => chmod(path, 0o600)],
  ])('refuses what was read of a file that is %s meanwhile', async (_, change) => {
    await expect(whileUnchanged(path, change)).rejects.toMatchObject({
      code: 'file-changed',
      family: 'world',
    });
  });

  it('takes a failure over such a file for the change, and any other for what it is', async () => {
    const fail = async (): Promise<never> => {
      throw new Error('no such frame');
    };
    await expect(whileUnchanged(path, fail)).rejects.toThrow('no such frame');
    const changing = async (): Promise<never> => {
      await appendFile(path, 'x');
      return fail();
    };
    await expect(whileUnchanged(path, changing)).rejects.toMatchObject({ code: 'file-changed' });
    await expect(whileUnchanged(join(folder.path, 'gone'), fail)).rejects.toMatchObject({
      code: 'missing-file',
    });
  });
});

describe('identityOf', () => {
  it('tells files of one size and time apart, and is null where there is no file', async () => {
    const [one, two] = [await identityOf(path), await identityOf(other)];
    expect({ ...one, digest: null }).toEqual({ ...two, digest: null });
    expect(one?.digest).not.toBe(two?.digest);
    expect(await identityOf(join(folder.path, 'gone'))).toBeNull();
    expect(await identityOf(folder.path)).toBeNull();
  });
});
