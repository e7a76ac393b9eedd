import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type AskedToWatch, foldersToWatch } from '../../../cli/watch/folders-to-watch.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const list = join(folder.path, 'watch.yaml');
const asked = (more: Partial<AskedToWatch> = {}): AskedToWatch => ({
  ...{ folders: [], list, target: [], batches: '/work', priority: 'normal', steady: 60, listed: false },
  ...more,
});
const written = (...folders: object[]) =>
  writeFile(list, JSON.stringify({ schema: 'goodgate/watch-list@1', folders }));

describe('folders to watch', () => {
  it('of a list have targets of their own, and options where it says nothing', async () => {
    await written(
      { folder: 'in/a', targets: ['proxy-h264'], priority: 'rush', steady: 5, listed: true, batches: 'out' },
      { folder: '/in/b', targets: ['house.yaml'] },
    );
    const base = folder.path;
    const own = { folder: '/in/c', targets: ['ffv1'], base: process.cwd(), batches: '/work' };
    expect(await foldersToWatch(asked({ folders: ['/in/c', '/in/c/'], target: ['ffv1'] }))).toEqual([
      { ...own, priority: 'normal', steadySeconds: 60, listed: false },
      {
        ...{ folder: join(base, 'in/a'), targets: ['proxy-h264'], base, batches: join(base, 'out') },
        ...{ priority: 'rush', steadySeconds: 5, listed: true },
      },
      {
        ...{ folder: '/in/b', targets: ['house.yaml'], base, batches: '/work' },
        ...{ priority: 'normal', steadySeconds: 60, listed: false },
      },
    ]);
  });

  it.each([
    ['none at all', { list: undefined }, [], 'bad-option', /no folder/],
    ['one without a target', { folders: ['/in/x'] }, [], 'bad-option', /what to make/],
    [
      'one that is named twice',
      {},
      [
        { folder: '/in/a', targets: ['x'] },
        { folder: '/in/a/', targets: ['y'] },
      ],
      'bad-option',
      /twice/,
    ],
    ['an empty list', {}, [], 'bad-document', /folders/],
    ['no targets', {}, [{ folder: 'a', targets: [] }], 'bad-document', /targets/],
    ['a wrong key', {}, [{ folder: 'a', targets: ['x'], stead: 1 }], 'bad-document', /nearest is steady/],
    ['a wrong priority', {}, [{ folder: 'a', targets: ['x'], priority: 'now' }], 'bad-document', /priority/],
  ])('%s: refused', async (_, more, folders, code, what) => {
    await written(...folders);
    await expect(foldersToWatch(asked(more))).rejects.toMatchObject({
      code,
      what: expect.stringMatching(what),
    });
  });
});
