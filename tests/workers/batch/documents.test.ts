import { chmod, open, readFile, rename, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import type { BatchItem } from '../../../jobs/plan/batch.js';
import { foundMeasurement, keepDocument, provenMeasurement } from '../../../workers/batch/documents.js';
import { sinceJudged } from '../../../workers/batch/since-judged.js';
import { identityOf } from '../../../workers/file/file-state.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { measured } from '../judge/measured.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

/** 3 MiB: of more than 1 MiB only pieces are in the digest. */
const BYTES = 3 << 20;
/** Between the first two of 16 pieces of 64 KiB, spread evenly. */
const BETWEEN = 100_000;
const path = join(folder.path, 'proxy.mov');
const of = { key: 'k', path };

let item: BatchItem;
beforeEach(async () => {
  await writeFile(path, Buffer.alloc(BYTES, 7));
  const file = await identityOf(path);
  if (file === null) throw new Error('the file is not there');
  await keepDocument(folder.path, 'm.json', { ...measured(), key: 'k', file: { path, ...file } });
  item = {
    ...{ kind: 'output', target: 't', path: 'proxy.mov', measurement: 'm.json', verdict: null },
    ...{ sha256: { measurement: null, verdict: null }, word: 'pass', losses: [], since: null },
    ...{ bytes: file.bytes, modified: file.modified, changed: file.changed },
  };
});

async function putByte(at: number): Promise<void> {
  const { atime, mtime } = await stat(path);
  const file = await open(path, 'r+');
  await file.write(Buffer.from([8]), 0, 1, at);
  await file.close();
  await utimes(path, atime, mtime);
}

// The cases follow POSIX.1-2017, 4.9 and the pages of write, chmod and rename: which of them set the time of
// last status change. That rename does is left to the file system there; those of Linux do.
describe('a file that was measured', () => {
  it.each([
    { name: 'left as it was', act: async () => undefined, since: null, isFound: true },
    {
      name: 'read',
      act: async () => void (await readFile(path)),
      since: null,
      isFound: true,
    },
    {
      name: 'changed between the pieces of its digest, its time put back',
      act: () => putByte(BETWEEN),
      since: 'touched',
      isFound: true,
    },
    {
      name: 'changed in a piece of its digest, its time put back',
      act: () => putByte(10),
      since: 'touched',
      isFound: false,
    },
    { name: 'given another mode', act: () => chmod(path, 0o600), since: 'touched', isFound: true },
    {
      name: 'replaced by a copy of the same time',
      async act() {
        const { atime, mtime } = await stat(path);
        await writeFile(`${path}.copy`, await readFile(path));
        await utimes(`${path}.copy`, atime, mtime);
        await rename(`${path}.copy`, path);
      },
      since: 'touched',
      isFound: true,
    },
    { name: 'made longer', act: () => writeFile(path, 'x', { flag: 'a' }), since: 'changed', isFound: false },
    { name: 'deleted', act: () => rm(path), since: 'gone', isFound: false },
  ])('and then $name is $since', async ({ act, since, isFound }) => {
    // A file system counts time in ticks.
    await new Promise((resolve) => setTimeout(resolve, 20));
    await act();
    expect(await sinceJudged(folder.path, item)).toBe(since);
    expect((await foundMeasurement(folder.path, 'm.json', of)) !== null).toBe(isFound);
    expect((await provenMeasurement(folder.path, 'm.json', of)) !== null).toBe(since === null);
  });

  it('of an original that is on its card is nothing told, nor of a file of which nothing was noted', async () => {
    await rm(path);
    expect(await sinceJudged(folder.path, { ...item, kind: 'original', path })).toBeNull();
    expect(await sinceJudged(folder.path, { ...item, bytes: null })).toBeNull();
    await writeFile(path, Buffer.alloc(BYTES, 7));
    expect(await sinceJudged(folder.path, { ...item, modified: null, changed: null })).toBeNull();
  });
});
