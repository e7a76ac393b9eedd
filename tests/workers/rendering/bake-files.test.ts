import { mkdtemp, readdir, readFile, rm, truncate, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { GoodgateError } from '../../../jobs/errors.js';
import type { Colour } from '../../../jobs/manifest/colour.js';
import { parseCube } from '../../../signal/lut/cube-format.js';
import { bakeToFiles, readCube } from '../../../workers/rendering/bake-files.js';

const S_LOG3: Colour = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709', range: 'narrow' };
const BT709: Colour = { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709', range: 'narrow' };

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-bake-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function caught(work: Promise<unknown>): Promise<GoodgateError> {
  const error = await work.then(
    () => null,
    (reason: unknown) => reason,
  );
  if (!(error instanceof GoodgateError)) throw new Error(`no GoodgateError but ${String(error)}`);
  return error;
}

describe('bakeToFiles', () => {
  it('writes whole tables named by content, and the same ones again', async () => {
    const out = join(folder, 'made on the way');
    const recipe = { from: S_LOG3, to: BT709, exposure: 0, look: null };
    const [first, second] = await Promise.all([bakeToFiles(recipe, out), bakeToFiles(recipe, out)]);
    expect(second).toEqual(first);
    const names = await readdir(out);
    expect(names.length).toBe(first.steps.filter(({ kind }) => kind !== 'shape').length);
    for (const name of names) parseCube(await readFile(join(out, name), 'utf8'));
    const brighter = await bakeToFiles({ ...recipe, exposure: 1 }, out);
    expect(brighter.steps).not.toEqual(first.steps);
  });

  it('refuses a rendering without a meaning', async () => {
    const error = await caught(bakeToFiles({ from: BT709, to: S_LOG3, exposure: 0, look: null }, folder));
    expect(error.code).toBe('bad-job');
  });
});

describe('readCube', () => {
  it('names file, line and reason', async () => {
    const path = join(folder, 'bad.cube');
    await writeFile(path, 'LUT_1D_SIZE 2\n0 0 0\n0 x 0\n');
    const error = await caught(readCube(path));
    expect(error.code).toBe('bad-document');
    expect(error.where).toBe(`${path}, line 3`);
    expect(error.what).toContain('"x"');
  });
  it('says when there is no file', async () => {
    expect((await caught(readCube(join(folder, 'none.cube')))).code).toBe('missing-file');
    expect((await caught(readCube(folder))).code).toBe('missing-file');
  });
  it('does not read a giant', async () => {
    const path = join(folder, 'giant.cube');
    await writeFile(path, '');
    await truncate(path, 200 * 1024 * 1024);
    expect((await caught(readCube(path))).what).toMatch(/bytes/);
  });
});
