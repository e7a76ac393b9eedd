import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { filesNow, isNews, submittedFiles, writeSubmitted } from '../../../cli/watch/watched-files.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

it('sees the clips of a folder, and neither half copies nor what was made', async () => {
  const at = (...names: string[]): string => join(folder.path, ...names);
  await mkdir(at('card', 'a-goodgate', 'proxy'), { recursive: true });
  for (const name of ['a.mov', 'b.mov.part', 'a.xml', '.hidden.mov']) await writeFile(at('card', name), 'x');
  await writeFile(at('card', 'a-goodgate', '.goodgate-batch'), '');
  await writeFile(at('card', 'a-goodgate', 'proxy', 'a.mp4'), 'x');
  const files = await filesNow(at('card'), new AbortController().signal);
  expect(files).toEqual([{ path: at('card', 'a.mov'), bytes: 1, modified: expect.stringMatching(/Z$/) }]);
  expect(await submittedFiles(at('card'))).toEqual([]);
  await writeSubmitted(at('card'), files);
  expect(await submittedFiles(at('card'))).toEqual(files);
});

it('news is a steady file that was not submitted as it is, once no submitted one is being written', () => {
  const file = (path: string, bytes = 1) => ({ path, bytes, modified: 't' });
  expect(isNews([file('a')], [file('a'), file('b')], [])).toBe(true);
  expect(isNews([file('a')], [file('a'), file('b')], [file('a')])).toBe(false);
  expect(isNews([file('a'), file('b')], [file('a'), file('b')], [file('a')])).toBe(true);
  // Written again: first not steady, then news.
  expect(isNews([file('b')], [file('a', 2), file('b')], [file('a')])).toBeNull();
  expect(isNews([file('a', 2)], [file('a', 2)], [file('a')])).toBe(true);
});
