import { appendFile, mkdtemp, rename, rm, symlink, truncate, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { attestFolder } from '../../../workers/hash-list/attest-folder.js';
import { openJournal } from '../../../workers/hash-list/journal.js';
import { verifyCard } from '../../../workers/hash-list/verify-card.js';
import { listText, writeFiles, writeHistory } from '../../media/example-card.js';

let folder: string;
let card: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-verify-'));
  card = join(folder, 'B002');
  await writeFiles(card, {
    'Clips/1.mov': 'one',
    'Clips/2.mov': 'two',
    'Sound/1.wav': 'three',
    'index.xml': '<a/>',
  });
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const options = { version: '1', now: new Date('2026-11-30T20:00:00Z') };

/** What is not as it should be: outcome and path. */
async function faults(): Promise<string[]> {
  const { files, directories, lists } = await verifyCard(card);
  return [...lists, ...files, ...directories]
    .filter(({ outcome }) => outcome !== 'verified')
    .map(({ path, outcome }) => `${outcome} ${path}`);
}

describe('a card that is not as listed is told by name', () => {
  beforeEach(() => attestFolder(card, options));

  it.each<[string, () => Promise<unknown>, string, string[]]>([
    ['nothing happened', async () => undefined, 'pass', []],
    ['one byte flipped', () => writeFile(join(card, 'Clips/2.mov'), 'twO'), 'fail', ['changed Clips/2.mov']],
    ['cut short', () => truncate(join(card, 'Sound/1.wav'), 2), 'fail', ['changed Sound/1.wav']],
    ['grown', () => appendFile(join(card, 'Sound/1.wav'), '!'), 'fail', ['changed Sound/1.wav']],
    ['emptied', () => truncate(join(card, 'Sound/1.wav'), 0), 'fail', ['changed Sound/1.wav']],
    ['a file gone', () => rm(join(card, 'index.xml')), 'fail', ['missing index.xml']],
    ['a file too many', () => writeFile(join(card, 'notes.txt'), ''), 'warn', ['unlisted notes.txt']],
    ['a hidden system file', () => writeFile(join(card, '.DS_Store'), 'x'), 'pass', []],
    [
      'a name changed',
      () => rename(join(card, 'Clips/1.mov'), join(card, 'Clips/3.mov')),
      'fail',
      ['missing Clips/1.mov', 'unlisted Clips/3.mov'],
    ],
    ['a folder gone', () => rm(join(card, 'Sound'), { recursive: true }), 'fail', ['missing Sound/1.wav']],
    [
      'a file that is a link now',
      async () => {
        await rename(join(card, 'Clips/1.mov'), join(folder, 'outside.mov'));
        await symlink(join(folder, 'outside.mov'), join(card, 'Clips/1.mov'));
      },
      'fail',
      ['missing Clips/1.mov'],
    ],
    [
      'a folder that is a link now',
      async () => {
        await rename(join(card, 'Sound'), join(folder, 'Sound'));
        await symlink(join(folder, 'Sound'), join(card, 'Sound'));
      },
      'fail',
      ['unreadable Sound', 'missing Sound/1.wav'],
    ],
  ])('%s', async (_, happen, verdict, expected) => {
    await happen();
    expect((await faults()).sort()).toEqual([...expected].sort());
    expect((await verifyCard(card)).verdict).toBe(verdict);
  });

  it('an empty folder too many is told, and a file in it as well', async () => {
    await writeFiles(card, { 'New/x.mov': 'x' });
    expect(await faults()).toEqual(['unlisted New/x.mov']);
    await rm(join(card, 'New/x.mov'));
    expect(await faults()).toEqual(['unlisted New/']);
  });

  it('another time of a file is no change, and the same time hides none', async () => {
    await utimes(join(card, 'Clips/1.mov'), 1, 1);
    expect(await faults()).toEqual([]);
    await writeFile(join(card, 'Clips/1.mov'), 'onE');
    await utimes(join(card, 'Clips/1.mov'), 1, 1);
    expect(await faults()).toEqual(['changed Clips/1.mov']);
  });
});

describe('generations', () => {
  const one = 'xxh64';
  const hash = { one: '', two: '' };
  beforeEach(async () => {
    const { files } = await (async () => {
      await attestFolder(card, options);
      return verifyCard(card);
    })();
    hash.one = files.find(({ path }) => path === 'Clips/1.mov')?.hashes[one] ?? '';
    hash.two = files.find(({ path }) => path === 'Clips/2.mov')?.hashes[one] ?? '';
    await rm(join(card, 'ascmhl'), { recursive: true });
    for (const path of ['Sound', 'index.xml', 'Clips/2.mov']) await rm(join(card, path), { recursive: true });
  });
  const xxh64 = (value: string, action = 'original'): string => `<xxh64 action="${action}">${value}</xxh64>`;

  it('a renamed file goes by its last name, with the hash of its first', async () => {
    await rename(join(card, 'Clips/1.mov'), join(card, 'take.mov'));
    await writeHistory(card, [
      listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.one) }]),
      listText([
        {
          path: 'take.mov',
          hashes: `${xxh64(hash.one, 'verified')}<previousPath>Clips/1.mov</previousPath>`,
        },
      ]),
    ]);
    expect(await faults()).toEqual([]);
    await writeFile(join(card, 'take.mov'), 'other');
    expect(await faults()).toEqual(['changed take.mov']);
  });

  it('another size than that of the file its hash proves is a contradiction, and with another hash told', async () => {
    await writeHistory(card, [listText([{ path: 'Clips/1.mov', size: 7, hashes: xxh64(hash.one) }])]);
    expect(await faults()).toEqual(['unproven Clips/1.mov']);
    expect((await verifyCard(card)).verdict).toBe('unmeasured');
    await writeFile(join(card, 'Clips/1.mov'), 'two');
    const [file] = (await verifyCard(card)).files;
    expect(file).toMatchObject({ outcome: 'changed', why: expect.stringMatching(/\(3\) of .*\(7\)$/) });
  });

  it('a hash that failed never counts', async () => {
    await writeHistory(card, [
      listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.two) }]),
      listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.one, 'failed') }]),
    ]);
    expect(await faults()).toEqual(['changed Clips/1.mov']);
  });

  it('without any hash that was accepted a file is unproven', async () => {
    await writeHistory(card, [listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.one, 'failed') }])]);
    expect(await faults()).toEqual(['unproven Clips/1.mov']);
    expect((await verifyCard(card)).verdict).toBe('unmeasured');
  });

  it('two accepted hashes of one format are a fault of the list', async () => {
    await writeHistory(card, [
      listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.one) }]),
      listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.two, 'verified') }]),
    ]);
    expect(await faults()).toEqual(['changed ascmhl']);
  });

  it('what the last generation ignores is not asked for', async () => {
    await writeHistory(card, [
      listText([
        { path: 'Clips/1.mov', hashes: xxh64(hash.one) },
        { path: 'gone.tmp', hashes: xxh64(hash.two) },
      ]),
      listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.one, 'verified') }], {
        process: '<ignore><pattern>*.tmp</pattern></ignore>',
      }),
    ]);
    await writeFile(join(card, 'new.tmp'), 'x');
    expect(await faults()).toEqual([]);
  });

  it('a directory hash that its files do not explain is told', async () => {
    const wrong = '0123456789abcdef';
    await writeHistory(card, [
      listText([{ path: 'Clips/1.mov', hashes: xxh64(hash.one) }], {
        process: `<roothash><content><xxh64>${wrong}</xxh64></content><structure><xxh64>${wrong}</xxh64></structure></roothash>`,
      }),
    ]);
    expect(await faults()).toEqual(['changed /']);
  });

  it('names written with other accents are the same file', async () => {
    await rename(join(card, 'Clips/1.mov'), join(card, 'caf\u00e9.mov'));
    await writeHistory(card, [listText([{ path: 'cafe\u0301.mov', hashes: xxh64(hash.one) }])]);
    expect(await faults()).toEqual([]);
  });
});

describe('a pass that was stopped', () => {
  const state = (): string => join(folder, 'state');
  const journal = (now = new Date()) => openJournal(state(), card, { now });
  beforeEach(() => attestFolder(card, options));

  it('goes on where it was, and only where the file is as it was', async () => {
    const many = Array.from({ length: 30 }, (_, index) => [`Clips/${index + 10}.mov`, String(index)]);
    await writeFiles(card, Object.fromEntries(many));
    await attestFolder(card, { ...options, now: new Date('2026-11-30T21:00:00Z') });
    const stop = new AbortController();
    const pass = verifyCard(card, {
      journal: await journal(),
      signal: stop.signal,
      onProgress: ({ files }) => {
        if (files.done === 2) stop.abort();
      },
    });
    await expect(pass).rejects.toMatchObject({ code: 'interrupted' });
    const seen: number[] = [];
    const again = {
      journal: await journal(),
      onProgress: (at: { files: { done: number } }) => seen.push(at.files.done),
    };
    expect(await verifyCard(card, again)).toMatchObject({ verdict: 'pass' });
    expect(seen[0]).toBeGreaterThanOrEqual(2);
  });

  it('a file that changed since is read again, and so is everything after a day', async () => {
    await verifyCard(card, { journal: await journal() });
    await writeFile(join(card, 'Clips/1.mov'), 'onE');
    const check = await verifyCard(card, { journal: await journal() });
    expect(check.files.filter(({ outcome }) => outcome === 'changed')).toHaveLength(1);
    const known: number[] = [];
    await verifyCard(card, {
      journal: await journal(new Date(Date.now() + 25 * 60 * 60 * 1000)),
      onProgress: ({ bytes }) => known.push(bytes.known),
    });
    expect(known[0]).toBe(0);
  });
});
