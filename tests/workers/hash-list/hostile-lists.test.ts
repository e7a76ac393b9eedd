import { cp, mkdtemp, readdir, readFile, rename, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { attestFolder } from '../../../workers/hash-list/attest-folder.js';
import { CHAIN_FILE } from '../../../workers/hash-list/read-history.js';
import { verifyCard } from '../../../workers/hash-list/verify-card.js';
import { listText, writeFiles, writeHistory } from '../../media/example-card.js';

let folder: string;
let card: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-hostile-list-'));
  card = join(folder, 'C003');
  await writeFiles(folder, { 'secret.txt': 'secret', 'C003/a.mov': 'a' });
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const HASH = '<xxh64 action="original">0123456789abcdef</xxh64>';
const options = { version: '1', now: new Date('2026-11-30T20:00:00Z') };

describe('a list leads nowhere but to files of its card', () => {
  it.each(['../secret.txt', '/etc/passwd', 'a/../../secret.txt', './a.mov', 'a//b', '', 'a\\..\\b/..'])(
    'path %j',
    async (path) => {
      await writeHistory(card, [listText([{ path, hashes: HASH }])]);
      await expect(verifyCard(card)).rejects.toMatchObject({ code: 'bad-document' });
    },
  );

  it.each([
    [
      'previousPath',
      listText([{ path: 'a.mov', hashes: `${HASH}<previousPath>../secret.txt</previousPath>` }]),
    ],
    [
      'a reference',
      listText([{ path: 'a.mov', hashes: HASH }], {
        tail: `<references><hashlistreference><path>../x.mhl</path><c4>c4${'1'.repeat(88)}</c4></hashlistreference></references>`,
      }),
    ],
    [
      'one path twice',
      listText([
        { path: 'a.mov', hashes: HASH },
        { path: 'a.mov', hashes: HASH },
      ]),
    ],
    ['a hash that is none', listText([{ path: 'a.mov', hashes: '<xxh64 action="original">xyz</xxh64>' }])],
    [
      'an action that is none',
      listText([{ path: 'a.mov', hashes: '<xxh64 action="good">0123456789abcdef</xxh64>' }]),
    ],
    ['another version', listText([]).replace('version="2.0"', 'version="1.1"')],
    ['another document', '<?xml version="1.0"?><html xmlns="http://www.w3.org/1999/xhtml"/>'],
    ['no text at all', ''],
    ['half a list', listText([{ path: 'a.mov', hashes: HASH }]).slice(0, 400)],
    ['no file', listText([])],
    [
      'entities that grow',
      `<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">${[...'bcdefghi'].map((name, at) => `<!ENTITY ${name} "${`&${'abcdefgh'[at]};`.repeat(10)}">`).join('')}]>${listText([{ path: '&i;', hashes: HASH }]).replace(/<\?xml.*\n/, '')}`,
    ],
    [
      'an entity from outside',
      `<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]>${listText([{ path: '&a;', hashes: HASH }]).replace(/<\?xml.*\n/, '')}`,
    ],
    [
      'an element a thousand deep',
      listText([], { tail: '<metadata>'.repeat(1000) + '</metadata>'.repeat(1000) }),
    ],
    ['a name without end', listText([{ path: 'a'.repeat(100_000), hashes: HASH }])],
    ['bytes that are no UTF-8', Buffer.from([0x3c, 0xff, 0xfe]).toString('latin1')],
  ])('%s', async (_, text) => {
    await writeHistory(card, [text]);
    await expect(verifyCard(card)).rejects.toMatchObject({ code: 'bad-document' });
  });

  it('elements of others are left out', async () => {
    await attestFolder(card, options);
    const [name = ''] = (await readdir(join(card, 'ascmhl'))).filter((each) => each.endsWith('.mhl'));
    const text = await readFile(join(card, 'ascmhl', name), 'utf8');
    await rm(join(card, 'ascmhl'), { recursive: true });
    await writeHistory(card, [
      text.replace('<hashes>', '<x:hashes xmlns:x="urn:x"><hash><path>../b</path></hash></x:hashes><hashes>'),
    ]);
    expect((await verifyCard(card)).verdict).toBe('pass');
  });

  it('a folder or a list that is a link is none', async () => {
    await attestFolder(card, options);
    await rename(join(card, 'ascmhl'), join(folder, 'lists'));
    await symlink(join(folder, 'lists'), join(card, 'ascmhl'));
    await expect(verifyCard(card)).rejects.toMatchObject({ code: 'missing-file' });
    await rm(join(card, 'ascmhl'));
    await cp(join(folder, 'lists'), join(card, 'ascmhl'), { recursive: true });
    const [name = ''] = (await readdir(join(folder, 'lists'))).filter((each) => each.endsWith('.mhl'));
    await rm(join(card, 'ascmhl', name));
    await symlink(join(folder, 'lists', name), join(card, 'ascmhl', name));
    await expect(verifyCard(card)).rejects.toMatchObject({ code: 'missing-file' });
  });
});

describe('a list that was changed is not the one its chain knows', () => {
  const lists = async (): Promise<string[]> =>
    (await verifyCard(card)).lists.map(({ path, why }) => `${path}: ${why}`);
  const generations = async (): Promise<string[]> =>
    (await readdir(join(card, 'ascmhl'))).filter((name) => name.endsWith('.mhl')).sort();

  beforeEach(async () => {
    await attestFolder(card, options);
    await attestFolder(card, { ...options, now: new Date('2026-11-30T21:00:00Z') });
  });

  it.each([0, 1])('generation %i: one character, and the card fails', async (index) => {
    const path = join(card, 'ascmhl', (await generations())[index] ?? '');
    await writeFile(path, (await readFile(path, 'utf8')).replace('goodgate', 'goodgatE'));
    expect(await lists()).toEqual([expect.stringContaining('C4 is another')]);
    expect((await verifyCard(card)).verdict).toBe('fail');
    await expect(attestFolder(card, options)).rejects.toMatchObject({ code: 'bad-document' });
  });

  it('a generation gone', async () => {
    await rm(join(card, 'ascmhl', (await generations())[0] ?? ''));
    expect(await lists()).toEqual([expect.stringContaining('it is missing')]);
  });

  it('a generation the chain does not know', async () => {
    const [name = ''] = await generations();
    await cp(join(card, 'ascmhl', name), join(card, 'ascmhl', '0003_C003_2026-12-01_000000Z.mhl'));
    expect(await lists()).toEqual([expect.stringContaining('does not know')]);
  });

  it('no chain', async () => {
    await rm(join(card, 'ascmhl', CHAIN_FILE));
    expect(await lists()).toEqual([expect.stringContaining('chain file is missing')]);
  });

  it.each([['a number left out', (text: string) => text.replace('sequencenr="2"', 'sequencenr="3"')]])(
    '%s',
    async (_, change) => {
      const path = join(card, 'ascmhl', CHAIN_FILE);
      await writeFile(path, change(await readFile(path, 'utf8')));
      expect(await lists()).toEqual([expect.stringContaining('has the number 3')]);
    },
  );

  it('a chain that names a file elsewhere', async () => {
    const path = join(card, 'ascmhl', CHAIN_FILE);
    await writeFile(path, (await readFile(path, 'utf8')).replace('<path>0001_', '<path>../0001_'));
    await expect(verifyCard(card)).rejects.toMatchObject({ code: 'bad-document' });
  });
});
