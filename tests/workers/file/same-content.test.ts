import { mkdtemp, rm, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { sameContent } from '../../../workers/file/same-content.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-same-'));
  const write = (name: string, text: string) => writeFile(join(folder, name), text);
  await write('a.mov', 'one');
  await write('b.mov', 'one');
  await write('c.mov', 'two');
  await write('d.mov', 'four');
  for (const set of ['x', 'y']) for (const n of [1, 2]) await write(`${set}.${n}.dpx`, `frame ${n}`);
  await utimes(join(folder, 'b.mov'), 1, 1);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const clip = (name: string, bytes: number) => ({ path: join(folder, name), bytes });
const names = (found: Awaited<ReturnType<typeof sameContent>>) =>
  found.map(({ paths, by }) => `${by}: ${paths.map((path) => path.slice(folder.length + 1)).join(' ')}`);

const clips = () => [clip('a.mov', 3), clip('b.mov', 3), clip('c.mov', 3), clip('d.mov', 4)];
const listed = (value: string) => ({ format: 'xxh64', value }) as const;

it('finds one content under two names, by pieces of it; size alone is nothing', async () => {
  expect(names(await sameContent(clips()))).toEqual(['samples: a.mov b.mov']);
});

it('believes hashes before pieces, either way', async () => {
  const same = new Map([
    [join(folder, 'a.mov'), listed('1111111111111111')],
    [join(folder, 'c.mov'), listed('1111111111111111')],
  ]);
  expect(names(await sameContent(clips(), same))).toEqual(['hash: a.mov c.mov']);
  const other = new Map([
    [join(folder, 'a.mov'), listed('1111111111111111')],
    [join(folder, 'b.mov'), listed('2222222222222222')],
  ]);
  expect(names(await sameContent(clips(), other))).toEqual([]);
});

it('compares picture sequences by their frames, and passes over what is gone', async () => {
  const sets = [clip('x.#.dpx', 14), clip('y.#.dpx', 14), clip('gone.mov', 14)];
  expect(names(await sameContent(sets))).toEqual(['samples: x.#.dpx y.#.dpx']);
});
