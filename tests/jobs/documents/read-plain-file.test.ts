import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { z } from 'zod';
import { withPlainFile } from '../../../jobs/documents/read-plain-file.js';
import { readDocument } from '../../../workers/batch/read-document.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-plain-'));
  await writeFile(join(folder, 'plain'), '{"a":1}');
  await execa('mkfifo', [join(folder, 'pipe')]);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const read = (name: string) => withPlainFile(join(folder, name), (file) => file.readFile('utf8'));

it('reads a file', async () => {
  expect(await read('plain')).toBe('{"a":1}');
});

it.each([
  ['a pipe that nobody writes to', 'pipe'],
  ['a folder', '.'],
])('refuses %s at once', async (_, name) => {
  await expect(read(name)).rejects.toThrow('not a regular file');
});

it('a document that is a pipe is none', async () => {
  const schema = z.object({ a: z.number() });
  expect(await readDocument(join(folder, 'plain'), schema)).toEqual({ a: 1 });
  expect(await readDocument(join(folder, 'pipe'), schema)).toBeNull();
});
