import { mkdtemp, readFile, readlink, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { loadManifest } from '../../jobs/manifest/load-manifest.js';
import { writeFiles } from '../media/example-card.js';
import { runCommand } from './run-command.js';

let folder: string;
const path = (name: string): string => join(folder, name);
const scan = (...words: string[]) => runCommand('scan', ...words, '-o', path('night4.yaml'));

async function sound(name: string, seconds: number): Promise<void> {
  await writeFiles(folder, { [name]: '' });
  await execa('ffmpeg', ['-v', 'error', '-y', '-f', 'lavfi', '-i', `sine=r=48000:d=${seconds}`, path(name)]);
}

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-scan-add-'));
  await sound('A001/S1.wav', 0.1);
  await sound('A001/S2.wav', 0.1);
  await sound('B002/S1.wav', 0.1);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

it('a second card and a second look keep what was written by hand, and say what is new', async () => {
  await scan(path('A001'));
  const edited = (await readFile(path('night4.yaml'), 'utf8'))
    .replace(
      'clips:',
      'defaults:\n  targets: [proxy-h264] # tonight\nrules:\n  - { match: { file: "*" }, set: { reel: A001 } }\nclips:',
    )
    .replace('file: S2.wav', 'file: S2.wav\n    exposure: 0.5');
  await writeFile(path('night4.yaml'), edited);

  await expect(scan(path('B002'))).rejects.toMatchObject({
    code: 'bad-option',
    next: expect.stringContaining('--add'),
  });
  const second = await scan(path('B002'), '--add');
  expect(second.err).toContain(`paths start from ${folder} now`);
  expect(second.err).toContain('new: 1 clip: B002/S1.wav');

  // Written for the first card, it goes on holding for that alone.
  expect(second.err).toContain('rule 1 (file A001/**/*) holds for none of the new clips');
  const widened = (await readFile(path('night4.yaml'), 'utf8')).replace('A001/**/*', '*');
  await writeFile(path('night4.yaml'), widened);
  await sound('C003/S1.wav', 0.1);
  const all = await scan(path('C003'), '--add');
  expect(all.err).toContain('rule 1 (file *) holds for 1 new clip: C003/S1.wav');

  await sound('A001/S1.wav', 0.2);
  await rm(path('A001/S2.wav'));
  const third = await scan(path('A001'), '--add');
  expect(third.err).toContain('changed on the card since: 1 clip: A001/S1.wav');
  expect(third.err).toContain('kept in the manifest: 1 clip: A001/S2.wav');
  expect(await readFile(path('night4.yaml'), 'utf8')).toContain('# tonight');
  const { manifest } = await loadManifest(path('night4.yaml'));
  expect(manifest).toMatchObject({ root: folder, title: 'A001', defaults: { targets: ['proxy-h264'] } });
  expect(manifest.clips.map(({ file, exposure }) => [file, exposure])).toEqual([
    ['A001/S1.wav', undefined],
    ['A001/S2.wav', 0.5],
    ['B002/S1.wav', undefined],
    ['C003/S1.wav', undefined],
  ]);
});

it('a link is refused: what it leads to would stay as it is, and the link be gone', async () => {
  await symlink(path('night4.yaml'), path('link.yaml'));
  const before = await readFile(path('night4.yaml'), 'utf8');
  const added = runCommand('scan', path('A001'), '--add', '-o', path('link.yaml'));
  await expect(added).rejects.toMatchObject({ code: 'bad-option', where: path('link.yaml') });
  expect(await readlink(path('link.yaml'))).toBe(path('night4.yaml'));
  expect(await readFile(path('night4.yaml'), 'utf8')).toBe(before);
});

it('without a manifest to add to it is a wrong request', async () => {
  await expect(runCommand('scan', path('A001'), '--add')).rejects.toMatchObject({ code: 'bad-option' });
  await expect(runCommand('scan', path('A001'), '--add', '-o', path('no.yaml'))).rejects.toMatchObject({
    code: 'missing-file',
  });
});
