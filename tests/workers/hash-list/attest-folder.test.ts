import { chmod, mkdir, mkdtemp, readdir, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { attestFolder } from '../../../workers/hash-list/attest-folder.js';
import { readHistory } from '../../../workers/hash-list/read-history.js';
import { verifyCard } from '../../../workers/hash-list/verify-card.js';
import { writeFiles } from '../../media/example-card.js';

let folder: string;
let card: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-attest-'));
  card = join(folder, 'C003');
  await writeFiles(card, { 'a.mov': 'a', 'b/c.mov': 'c' });
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const at = (hour: number) => ({ version: '1', now: new Date(Date.UTC(2026, 10, 30, hour)) });

describe('what cannot be listed', () => {
  it('a link is refused by name, nothing is written; ignored it stays out, from then on', async () => {
    await symlink('/etc/passwd', join(card, 'b/link'));
    await expect(attestFolder(card, at(20))).rejects.toMatchObject({ code: 'bad-option', where: 'b/link' });
    expect(await readdir(card)).toEqual(['a.mov', 'b']);
    await attestFolder(card, { ...at(20), ignore: ['link'] });
    await attestFolder(card, at(21));
    const { generations } = await readHistory(card);
    expect(generations.map(({ generation }) => generation.ignore.includes('link'))).toEqual([true, true]);
    expect(await verifyCard(card)).toMatchObject({ verdict: 'pass', totals: { files: 2 } });
  });

  it('a link in a folder with a list of its own is ignored by that list', async () => {
    await symlink('/etc/passwd', join(card, 'b/link'));
    await attestFolder(join(card, 'b'), { ...at(20), ignore: ['/link'] });
    await attestFolder(card, at(21));
    expect((await verifyCard(card)).verdict).toBe('pass');
  });

  it('a list is not written through a link', async () => {
    await mkdir(join(folder, 'elsewhere'));
    await symlink(join(folder, 'elsewhere'), join(card, 'ascmhl'));
    await expect(attestFolder(card, { ...at(20), ignore: ['*.x'] })).rejects.toMatchObject({
      code: 'bad-option',
    });
    expect(await readdir(join(folder, 'elsewhere'))).toEqual([]);
  });

  it.skipIf(process.getuid?.() === 0)('a file that cannot be read: nothing is written', async () => {
    await chmod(join(card, 'a.mov'), 0);
    await expect(attestFolder(card, at(20))).rejects.toMatchObject({ where: 'a.mov' });
    expect(await readdir(card)).toEqual(['a.mov', 'b']);
  });

  it('a name that XML cannot hold is refused by name', async () => {
    await writeFile(join(card, 'a\u0001.mov'), 'x');
    await expect(attestFolder(card, at(20))).rejects.toMatchObject({
      code: 'bad-option',
      where: 'a\u0001.mov',
    });
    expect(await readdir(card)).not.toContain('ascmhl');
  });

  it('nor is anything written to a list inside, when the one outside cannot be', async () => {
    await attestFolder(join(card, 'b'), at(20));
    await writeFile(join(card, 'a\u0001.mov'), 'x');
    await expect(attestFolder(card, at(21))).rejects.toMatchObject({ code: 'bad-option' });
    expect((await readHistory(join(card, 'b'))).generations).toHaveLength(1);
  });
});

it('files that are ignored from now on, but listed before, stay listed', async () => {
  await attestFolder(card, at(20));
  await writeFile(join(card, 'd.mov'), 'd');
  await attestFolder(card, { ...at(21), ignore: ['*.mov'] });
  const [, second] = (await readHistory(card)).generations;
  expect(second?.generation.files.map(({ path }) => path)).toEqual(['a.mov', 'b/c.mov']);
  expect((await verifyCard(card)).verdict).toBe('pass');
  await writeFile(join(card, 'a.mov'), 'A');
  expect((await verifyCard(card)).verdict).toBe('fail');
});
