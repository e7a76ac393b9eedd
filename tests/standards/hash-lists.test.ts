import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { type HashFormat, WRITTEN_FORMATS } from '../../jobs/hash-list/hash-format.js';
import { attestFolder } from '../../workers/hash-list/attest-folder.js';
import { digestOfC4 } from '../../workers/hash-list/c4.js';
import { directoryHashes } from '../../workers/hash-list/directory-hashes.js';
import { hashOf } from '../../workers/hash-list/hasher.js';
import { readHistory } from '../../workers/hash-list/read-history.js';
import { verifyCard } from '../../workers/hash-list/verify-card.js';
import { EXAMPLE_CARDS, EXAMPLE_SUMMARY, listText, writeFiles, writeHistory } from '../media/example-card.js';

/**
 * ASC MHL v2.0 against its published example scenarios (public repository ascmitc/mhl, examples/scenarios)
 * and the published values of its hash functions.
 */
let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-hash-lists-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const options = { version: '1', now: new Date('2020-01-16T09:15:00Z') };

describe('hashes', () => {
  it.each([
    // XXH64, XXH3 and XXH128 of nothing, seed 0: vectors of the xxHash specification.
    ['xxh64', '', 'ef46db3751d8e999'],
    ['xxh3', '', '2d06800538d394c2'],
    ['xxh128', '', '99aa06d3014798d86001c324468d497f'],
    // RFC 1321, A.5 and RFC 3174, test 1.
    ['md5', 'abc', '900150983cd24fb0d6963f7d28e17f72'],
    ['sha1', 'abc', 'a9993e364706816aba3e25717850c26c9cd0d89d'],
    // C4 of nothing: published with SMPTE ST 2114.
    ['c4', '', 'c459dsjfscH38cYeXXYogktxf4Cd9ibshE3BHUo6a58hBXmRQdZrAkZzsWcbWtDg5oQstpDuni4Hirj75GEmTc1sFT'],
    [
      'c4',
      'foo',
      'c45xZeXwMSpqXjpDumcHMA6mhoAmGHkUo7r9WmN2UgSEQzj9KjgseaQdkEJ11fGb5S1WEENcV3q8RFWwEeVpC7Fjk2',
    ],
    // Files of the example scenarios.
    ['xxh64', 'abcd\n', '0ea03b369a463d9d'],
    ['xxh64', 'def\n', '7680e5f98f4a80fd'],
    ['md5', 'abcd\n', 'f5ac8127b3b6b85cdc13f237c6005d80'],
  ] as const)('%s of %j', async (format, text, value) => {
    expect(await hashOf(format, [Buffer.from(text)])).toBe(value);
  });

  it('a C4 can be turned back into its digest, and what is none cannot', () => {
    // SHA-512 of "abc" begins so: FIPS 180-2, C.1; here of nothing, from memory.
    const empty =
      'c459dsjfscH38cYeXXYogktxf4Cd9ibshE3BHUo6a58hBXmRQdZrAkZzsWcbWtDg5oQstpDuni4Hirj75GEmTc1sFT';
    expect(digestOfC4(empty)?.toString('hex').slice(0, 16)).toBe('cf83e1357eefb8bd');
    expect(digestOfC4(empty.replace('A', '0'))).toBeNull();
    expect(digestOfC4(`c4${'z'.repeat(88)}`)).toBeNull();
  });
});

describe('directory hashes of the example scenarios', () => {
  const HASHES: Readonly<Record<keyof typeof EXAMPLE_CARDS, readonly (readonly [string, string])[]>> = {
    A002R2EC: [
      ['Clips/A002C006_141024_R2EC.mov', '0ea03b369a463d9d'],
      ['Clips/A002C007_141024_R2EC.mov', '7680e5f98f4a80fd'],
      ['Sidecar.txt', '3ab5a4166b9bde44'],
    ],
    A003R2EC: [
      ['Clips/A003C011_141024_R2EC.mov', '52392f79a36d6571'],
      ['Clips/A003C012_141024_R2EC.mov', '5dbca064ddddd6fc'],
      ['Sidecar.txt', 'e5dda75a353d8b34'],
    ],
  };
  it.each([
    ['A002R2EC', 'Clips', '4c226b42e27d7af3', '906faa843d591a9f'],
    ['A002R2EC', '', '8d02114c32e28cbe', 'f557f8ca8e5a88ef'],
    ['A003R2EC', 'Clips', 'f2afc6434255a53d', 'a25d5ca89c95f9e2'],
    ['A003R2EC', '', '7a82373c131cf40a', '1131a950fcc55e4b'],
  ] as const)('%s %s', async (card, path, content, structure) => {
    const found = await directoryHashes('xxh64', new Map(HASHES[card]), []);
    expect(found.get(path)).toEqual({ content, structure });
  });

  it('an empty folder is the hash of nothing, and counts in the structure of the one above alone', async () => {
    const files = new Map(HASHES.A002R2EC);
    const found = await directoryHashes('xxh64', files, ['Empty']);
    expect(found.get('Empty')).toEqual({ content: 'ef46db3751d8e999', structure: 'ef46db3751d8e999' });
    expect(found.get('')?.structure).not.toBe('f557f8ca8e5a88ef');
  });
});

/** Second scenario: the card, copied, and its list of two generations with the published values. */
async function exampleCard(): Promise<string> {
  const card = join(folder, 'A002R2EC');
  await writeFiles(card, EXAMPLE_CARDS.A002R2EC);
  const generation = (action: string): string =>
    listText(
      (
        [
          ['Clips/A002C006_141024_R2EC.mov', 5, '0ea03b369a463d9d'],
          ['Clips/A002C007_141024_R2EC.mov', 4, '7680e5f98f4a80fd'],
          ['Sidecar.txt', 58, '3ab5a4166b9bde44'],
        ] as const
      ).map(([path, size, hash]) => ({ path, size, hashes: `<xxh64 action="${action}">${hash}</xxh64>` })),
      {
        process:
          '<roothash><content><xxh64>8d02114c32e28cbe</xxh64></content><structure><xxh64>f557f8ca8e5a88ef</xxh64></structure></roothash>',
        hashes:
          '<directoryhash><path>Clips</path><content><xxh64>4c226b42e27d7af3</xxh64></content><structure><xxh64>906faa843d591a9f</xxh64></structure></directoryhash>',
      },
    );
  await writeHistory(card, [generation('original'), generation('verified')]);
  return card;
}

describe('the example card', () => {
  it('verifies with every file and folder', async () => {
    const check = await verifyCard(await exampleCard());
    expect(check).toMatchObject({ verdict: 'pass', lists: [], totals: { files: 3, verified: 3, bytes: 67 } });
    expect(check.directories.map(({ path, outcome }) => [path, outcome])).toEqual([
      ['/', 'verified'],
      ['Clips/', 'verified'],
    ]);
  });

  it('damaged as in the fourth scenario fails by the name of the file', async () => {
    const card = await exampleCard();
    // The scenario appends to the file; its published hash of it then, 60 bytes, is not needed.
    await writeFile(
      join(card, 'Sidecar.txt'),
      'BLOREM ipsum dolor sit amet, consetetur sadipscing elitr.\n!!',
    );
    const { verdict, files } = await verifyCard(card);
    expect(verdict).toBe('fail');
    expect(files.filter(({ outcome }) => outcome !== 'verified')).toMatchObject([
      { path: 'Sidecar.txt', outcome: 'changed', why: expect.stringContaining('listed is 3ab5a4166b9bde44') },
    ]);
  });
});

async function valid(home: string): Promise<void> {
  for (const name of await readdir(home)) {
    const schema = name.endsWith('.mhl') ? 'hash-list.xsd' : 'hash-list-chain.xsd';
    const contents = await readFile(join(home, name), 'utf8');
    const result = await validateXML({
      xml: [{ fileName: 'list.xml', contents }],
      schema: [await readFile(new URL(`data/${schema}`, import.meta.url), 'utf8')],
    });
    expect(result.errors.map(({ message }) => message)).toEqual([]);
    expect(result.valid).toBe(true);
  }
}

describe('a list that is written', () => {
  it('has the published hashes, the name of the standard, and is valid', async () => {
    const card = join(folder, 'A002R2EC');
    await writeFiles(card, EXAMPLE_CARDS.A002R2EC);
    await attestFolder(card, options);
    const { generations, faults } = await readHistory(card);
    expect(faults).toEqual([]);
    // Clause 6.3.
    expect(generations.map(({ name }) => name)).toEqual(['0001_A002R2EC_2020-01-16_091500Z.mhl']);
    expect(generations[0]?.generation.directories).toMatchObject([
      { path: '', hashes: [{ content: '8d02114c32e28cbe', structure: 'f557f8ca8e5a88ef' }] },
      { path: 'Clips', hashes: [{ content: '4c226b42e27d7af3', structure: '906faa843d591a9f' }] },
    ]);
    await valid(join(card, 'ascmhl'));
  });

  it('in another format keeps the old one beside the new, verified, as in the third scenario', async () => {
    const card = join(folder, 'A002R2EC');
    await writeFiles(card, EXAMPLE_CARDS.A002R2EC);
    await attestFolder(card, options);
    await attestFolder(card, { ...options, format: 'md5' });
    const { generations } = await readHistory(card);
    const last = generations[1]?.generation;
    expect(last?.files[0]?.hashes).toEqual([
      { format: 'md5', action: 'verified', value: 'f5ac8127b3b6b85cdc13f237c6005d80' },
      { format: 'xxh64', action: 'verified', value: '0ea03b369a463d9d' },
    ]);
    // Published content hashes of that scenario.
    expect(last?.directories.map(({ hashes }) => hashes[0]?.content)).toEqual([
      '6fae2da9bc6dca45486cb91bfea6db70',
      '202a2d71b56b080d9b089c1f4f29a4ba',
    ]);
    await valid(join(card, 'ascmhl'));
  });

  it('records a damaged file as failed, and still verifies by its first hash, as in the fourth', async () => {
    const card = join(folder, 'A002R2EC');
    await writeFiles(card, EXAMPLE_CARDS.A002R2EC);
    await attestFolder(card, options);
    await writeFile(join(card, 'Sidecar.txt'), 'other bytes');
    const attested = await attestFolder(card, { ...options, format: 'md5' });
    expect(attested.changed).toEqual(['Sidecar.txt']);
    const last = (await readHistory(card)).generations[1]?.generation;
    const sidecar = last?.files.find(({ path }) => path === 'Sidecar.txt');
    // No new format beside a hash that failed.
    expect(sidecar?.hashes.map(({ format, action }) => [format, action])).toEqual([['xxh64', 'failed']]);
    expect((await verifyCard(card)).verdict).toBe('fail');
    await writeFiles(card, EXAMPLE_CARDS.A002R2EC);
    const mended = await verifyCard(card);
    expect(mended.files.map(({ outcome }) => outcome)).toEqual(['verified', 'verified', 'verified']);
    await valid(join(card, 'ascmhl'));
  });

  it('of a folder of cards names their lists and hashes, as in the fifth scenario', async () => {
    const reels = join(folder, 'Reels');
    for (const [name, files] of Object.entries(EXAMPLE_CARDS)) {
      await writeFiles(join(reels, name), files);
      await attestFolder(join(reels, name), options);
    }
    await writeFiles(reels, { 'Summary.txt': EXAMPLE_SUMMARY });
    const { written } = await attestFolder(reels, { ...options, now: new Date('2020-01-17T14:30:00Z') });
    expect(written).toHaveLength(3);
    const { generation } = (await readHistory(reels)).generations[0] ?? {};
    expect(generation?.files).toMatchObject([
      { path: 'Summary.txt', bytes: 48, hashes: [{ value: '0ac48e431d4538ba' }] },
    ]);
    // Published hashes of both cards and of the folder above them.
    expect(
      generation?.directories.map(({ path, hashes }) => [path, hashes[0]?.content, hashes[0]?.structure]),
    ).toEqual([
      ['', '92950bc8fda076ec', '2c2ce52605558158'],
      ['A002R2EC', '8d02114c32e28cbe', 'f557f8ca8e5a88ef'],
      ['A003R2EC', '7a82373c131cf40a', '1131a950fcc55e4b'],
    ]);
    expect(generation?.references.map(({ path }) => path).sort()).toEqual([
      'A002R2EC/ascmhl/0002_A002R2EC_2020-01-17_143000Z.mhl',
      'A003R2EC/ascmhl/0002_A003R2EC_2020-01-17_143000Z.mhl',
    ]);
    expect(await verifyCard(reels)).toMatchObject({ verdict: 'pass', totals: { files: 7, verified: 7 } });
    await valid(join(reels, 'ascmhl'));
    await valid(join(reels, 'A003R2EC', 'ascmhl'));
    // A list inside that was written anew is not the one the outer list knows.
    await rm(join(reels, 'A003R2EC', 'ascmhl'), { recursive: true });
    await attestFolder(join(reels, 'A003R2EC'), options);
    expect((await verifyCard(reels)).lists).toMatchObject([{ outcome: 'changed' }]);
  });

  it.each(WRITTEN_FORMATS)('in %s is valid and verifies', async (format: HashFormat) => {
    const card = join(folder, 'card');
    await writeFiles(card, {
      'a&b <c>.mov': 'one',
      'ünï/\u00e9 "q".wav': 'two',
      ' blanks ': '',
      'e\tf': 'x',
    });
    await attestFolder(card, { ...options, format, ignore: ['*.tmp'] });
    await writeFiles(card, { 'x.tmp': 'left out' });
    await valid(join(card, 'ascmhl'));
    expect(await verifyCard(card)).toMatchObject({ verdict: 'pass', totals: { verified: 4, files: 4 } });
  });
});
