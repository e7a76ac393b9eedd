import { chmod, mkdtemp, rename, rm, symlink } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { missingFromCard } from '../../../cli/card/listed-and-not.js';
import { attestFolder } from '../../../workers/hash-list/attest-folder.js';
import { missingListed } from '../../../workers/hash-list/missing-listed.js';
import { listText, writeFiles, writeHistory } from '../../media/example-card.js';

let folder: string;
let card: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-missing-'));
  card = join(folder, 'B002');
  await writeFiles(card, { 'Clips/1.mov': 'one', 'Clips/2.mov': 'two', 'Sound/1.wav': 'three', 'a.xml': '' });
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const options = { version: '1', now: new Date('2026-11-30T20:00:00Z') };
const HASH = '<xxh64 action="original">0123456789abcdef</xxh64>';

/** Files that are missing, a clip with a mark. */
async function missing(root = card, whole = true): Promise<string[]> {
  return (await missingListed(root, new Map(), whole)).map(({ file, isClip }) =>
    isClip ? `! ${file}` : file,
  );
}

it('tells what is gone, and nothing of a whole card or of one without a list', async () => {
  expect(await missing()).toEqual([]);
  await attestFolder(card, options);
  expect(await missing()).toEqual([]);
  for (const gone of ['Clips/2.mov', 'Sound', 'a.xml']) await rm(join(card, gone), { recursive: true });
  expect(await missing()).toEqual(['a.xml', '! Clips/2.mov', '! Sound/1.wav']);
});

it('only what lies below the root is asked for', async () => {
  await attestFolder(card, options);
  await rm(join(card, 'Sound'), { recursive: true });
  await rm(join(card, 'Clips/1.mov'));
  expect(await missing(join(card, 'Clips'))).toEqual(['! 1.mov']);
});

it('a renamed file goes by its last name, other accents are the same name, what is ignored may be gone', async () => {
  await rename(join(card, 'Clips/1.mov'), join(card, 'caf\u00e9.mov'));
  await writeHistory(card, [
    listText(['Clips/1.mov', 'gone.tmp', 'Clips/2.mov'].map((path) => ({ path, hashes: HASH }))),
    listText([{ path: 'cafe\u0301.mov', hashes: `${HASH}<previousPath>Clips/1.mov</previousPath>` }], {
      process: '<ignore><pattern>*.tmp</pattern></ignore>',
    }),
  ]);
  expect(await missing()).toEqual([]);
});

it('a link in the place of a file is not the file', async () => {
  await attestFolder(card, options);
  await rename(join(card, 'Clips/1.mov'), join(folder, 'outside.mov'));
  await symlink(join(folder, 'outside.mov'), join(card, 'Clips/1.mov'));
  expect(await missing()).toEqual(['! Clips/1.mov']);
});

it('what would be a clip is told by name, by listed size, and by what lies beside it', async () => {
  const files: [string, number][] = [
    ...([
      ['x.odd', 2_000_000],
      ['y.odd', 20],
      ['._1.mov', 20],
      ['.Trash/1.mov', 20],
    ] as [string, number][]),
    ...([
      ['still.jpg', 2_000_000],
      ['Clips/2.jpg', 2_000_000],
      ['Clips/2.mov', 3],
    ] as [string, number][]),
  ];
  await writeHistory(card, [listText(files.map(([path, size]) => ({ path, size, hashes: HASH })))]);
  await rm(join(card, 'Clips/2.mov'));
  expect((await missing()).sort()).toEqual(
    ['! x.odd', 'y.odd', '._1.mov', '.Trash/1.mov', '! still.jpg', 'Clips/2.jpg', '! Clips/2.mov'].sort(),
  );
});

it('a card within the folder is held against its own list, and one that is gone is told', async () => {
  const other = join(folder, 'C003');
  await writeFiles(other, { 'a.mov': 'a', 'b.txt': 'b' });
  await attestFolder(card, options);
  await attestFolder(other, options);
  await rm(join(other, 'a.mov'));
  expect(await missing(folder)).toEqual(['! C003/a.mov']);
  expect(await missing(folder, false)).toEqual([]);
  await writeFiles(other, { 'a.mov': 'a' });
  await attestFolder(folder, options);
  expect(await missing(folder, false)).toEqual([]);
  await rm(join(other, 'a.mov'));
  expect(await missing(folder, false)).toEqual(['! C003/a.mov']);
  await rm(other, { recursive: true });
  expect((await missing(folder)).filter((name) => name.startsWith('! C003/ascmhl/'))).toHaveLength(1);
});

it.skipIf(process.getuid?.() === 0)(
  'of a folder that cannot be listed nothing is said to be missing',
  async () => {
    await attestFolder(card, options);
    await chmod(join(card, 'Clips'), 0);
    expect(await missing()).toEqual([]);
    await chmod(join(card, 'Clips'), 0o755);
  },
);

it('what is told otherwise is not told twice, and a note names ten', () => {
  const files = Array.from({ length: 12 }, (_, index) => ({ file: `${index}.xml`, isClip: false }));
  const { clips, notes } = missingFromCard(
    [...files, { file: 'a.mov', isClip: true }, { file: 'b.mov', isClip: true }],
    {
      clips: [],
      unreadable: [{ file: 'a.mov', reason: 'there is no such file' }],
    },
  );
  expect(clips.map(({ file }) => file)).toEqual(['b.mov']);
  expect(notes).toHaveLength(1);
  expect(notes[0]).toMatch(/^12 files .*: 0\.xml, .*, 9\.xml and 2 more$/);
});
