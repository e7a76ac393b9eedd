import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { findLooks } from '../../cli/find-looks.js';
import { manifest } from '../../jobs/manifest/manifest.js';
import { temporaryFolder } from '../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

/** The smallest table there is: two values a side. */
const CUBE = [
  'LUT_3D_SIZE 2',
  ...[0, 1].flatMap((b) => [0, 1].flatMap((g) => [0, 1].map((r) => `${r} ${g} ${b}`))),
];

it('finds a look that cannot be read before anything is made, with the line', async () => {
  const files = {
    'good.cube': CUBE,
    'short.cube': CUBE.slice(0, -1),
    'words.cube': [...CUBE.slice(0, 3), 'one two three', ...CUBE.slice(4)],
    'empty.cube': [],
    'photo.cube': ['\u0000\u0001PNG'],
  };
  for (const [name, lines] of Object.entries(files))
    await writeFile(join(folder.path, name), `${lines.join('\n')}\n`);
  const clips = [...Object.keys(files), 'gone.cube'].map((look, index) => ({ file: `${index}.mov`, look }));
  const found = await findLooks(
    manifest.parse({ schema: 'goodgate/manifest@1', title: 'x', root: '.', clips }),
    folder.path,
  );
  const good = await readFile(join(folder.path, 'good.cube'));
  expect(found.get('good.cube')).toEqual({
    path: join(folder.path, 'good.cube'),
    hash: createHash('sha256').update(good).digest('hex'),
  });
  expect(found.get('words.cube')?.fault).toMatch(/^line 4: /);
  for (const name of ['short.cube', 'empty.cube', 'photo.cube', 'gone.cube'])
    expect(found.get(name)?.fault, name).toMatch(/\S/);
});
