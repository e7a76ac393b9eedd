import { readdir, rename, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { heldCards, ofWholeCards } from '../../../cli/watch/held-cards.js';
import type { SeenFile } from '../../../cli/watch/steady-files.js';
import { filesNow } from '../../../cli/watch/watched-files.js';
import { attestFolder } from '../../../workers/hash-list/attest-folder.js';
import { writeFiles } from '../../media/example-card.js';
import { temporaryFolder } from '../../media/known-clip.js';

/** A watched folder with a card that has a hash list, and one that has none. */
let folder: Awaited<ReturnType<typeof temporaryFolder>>;
const at = (...names: string[]): string => join(folder.path, ...names);
const signal = new AbortController().signal;

beforeEach(async () => {
  folder = await temporaryFolder();
  await writeFiles(at('A001'), { 'Clips/1.mov': 'one', 'Clips/2.mov': 'two', 'note.xml': 'x' });
  await writeFiles(at('B002'), { '1.mov': 'one' });
  await attestFolder(at('A001'), { version: '1', now: new Date('2026-11-30T20:00:00Z') });
});
afterEach(() => folder.remove());

/** What is held, and what is taken, below the watched folder. */
async function looked(
  growing: readonly string[] = [],
  submitted: readonly SeenFile[] = [],
  onlyListed = false,
): Promise<{ awaited: readonly string[]; taken: readonly string[] }> {
  const now = await filesNow(folder.path, signal);
  const steady = now.filter(({ path }) => !growing.some((name) => path === at(name)));
  const held = await heldCards(folder.path, now, steady);
  const taken = await ofWholeCards(steady, held, submitted, onlyListed);
  return {
    awaited: held.flatMap(({ awaited, unread }) => [...awaited, ...(unread === null ? [] : ['the list'])]),
    taken: taken.map(({ path }) => path.slice(folder.path.length + 1)),
  };
}
const ALL = ['A001/Clips/1.mov', 'A001/Clips/2.mov', 'B002/1.mov'];

it('nothing of a whole card is held, nor of one without a list', async () => {
  expect(await looked()).toEqual({ awaited: [], taken: ALL });
});

it.each([
  ['is missing', () => rm(at('A001/Clips/2.mov')), 'Clips/2.mov'],
  ['is shorter than listed', () => writeFile(at('A001/Clips/2.mov'), 'tw'), 'Clips/2.mov'],
  ['is no clip and missing', () => rm(at('A001/note.xml')), 'note.xml'],
  [
    'has the name of a half copy',
    () => rename(at('A001/Clips/2.mov'), at('A001/Clips/2.mov.part')),
    'Clips/2.mov',
  ],
])('a card waits as long as a listed file %s', async (_, spoil, file) => {
  await spoil();
  expect(await looked()).toEqual({ awaited: [file], taken: ['B002/1.mov'] });
});

it('a card waits for a file that is still being written', async () => {
  expect(await looked(['A001/Clips/1.mov'])).toEqual({ awaited: ['Clips/1.mov'], taken: ['B002/1.mov'] });
});

it('a card waits for a list that is half there', async () => {
  const [list = ''] = (await readdir(at('A001/ascmhl'))).filter((name) => name.endsWith('.mhl'));
  await writeFile(at('A001/ascmhl', list), '<?xml');
  expect(await looked()).toEqual({ awaited: ['the list'], taken: ['B002/1.mov'] });
});

it('what was submitted stays where its card grows, and what changed since waits again', async () => {
  const submitted = await filesNow(folder.path, signal);
  await writeFiles(at('A001'), { 'Clips/3.mov': 'three' });
  await attestFolder(at('A001'), { version: '1', now: new Date('2026-11-30T21:00:00Z') });
  expect((await stat(at('A001/Clips/3.mov'))).size).toBe(5);
  await rm(at('A001/note.xml'));
  expect(await looked([], submitted)).toEqual({ awaited: ['note.xml'], taken: ALL });
});

it('nothing without a list is taken where only listed files are wanted', async () => {
  expect((await looked([], [], true)).taken).toEqual(ALL.slice(0, 2));
});

it('a watched folder within a card waits for what belongs there', async () => {
  await rm(at('A001/note.xml'));
  const now = await filesNow(at('A001/Clips'), signal);
  expect(await heldCards(at('A001/Clips'), now, now)).toEqual([]);
  await rm(at('A001/Clips/1.mov'));
  expect(await heldCards(at('A001/Clips'), now.slice(1), now.slice(1))).toMatchObject([
    { awaited: ['1.mov'] },
  ]);
});
