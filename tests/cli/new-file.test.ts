import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { requireNewFile } from '../../cli/new-file.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-new-file-'));
  for (const name of ['there.yaml', 'clip.mov']) await writeFile(join(folder, name), 'mine');
});
afterAll(() => rm(folder, { recursive: true }));

it.each([
  ['a new name', 'new.yaml', false, true],
  ['what may hold somebody’s words', 'there.yaml', false, false],
  ['the same where it is to be replaced', 'there.yaml', true, true],
  ['a clip', 'clip.mov', false, false],
  ['a clip, whatever is asked', 'clip.mov', true, false],
  ['a folder', '.', true, false],
] as const)('%s', async (_, name, force, allowed) => {
  const asked = requireNewFile(join(folder, name), { force, endings: ['.yaml'] });
  if (allowed) await expect(asked).resolves.toBeUndefined();
  else await expect(asked).rejects.toMatchObject({ code: 'bad-option' });
  expect(await readFile(join(folder, 'clip.mov'), 'utf8')).toBe('mine');
});
