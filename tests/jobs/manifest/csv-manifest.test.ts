import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { formatCsv } from '../../../jobs/manifest/csv-manifest.js';
import { loadManifest } from '../../../jobs/manifest/load-manifest.js';
import type { Manifest } from '../../../jobs/manifest/manifest.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-csv-'));
});
afterAll(() => rm(folder, { recursive: true }));

const WHOLE: Manifest = {
  schema: 'goodgate/manifest@1',
  title: 'Night 4, "rain"',
  root: '/volumes/A 1',
  clips: [
    {
      ...{ file: 'a_1.mov', parts: ['a_2.mov', 'b/a 3.mov'], reel: 'A001', scene: '12A', take: '3' },
      ...{ startTimecode: '10:00:00;00', scan: 'interlaced-tff', sampleAspect: '2/1', frameRate: '24/1' },
      colour: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709', range: 'full' },
      look: {
        file: 'my looks/x.cube',
        input: 'S-Log3/S-Gamut3.Cine',
        scale: { input: 'full', output: 'narrow' },
      },
      ...{ sound: [1, 2], exposure: -0.5, targets: ['proxy-h264', 'own/t.yaml'] },
    },
    { file: 'plain.mov', look: 'show.cube', sound: 'mix' },
    { file: 'none.mov', look: null, skip: true },
    { file: 'scaled.mov', look: { file: 'x.cube', scale: 'narrow' }, skip: false },
  ],
};

async function back(document: Manifest): Promise<Manifest> {
  const path = join(folder, 'list.csv');
  await writeFile(path, formatCsv(document));
  return (await loadManifest(path)).manifest;
}

it('comes back whole from a list', async () => {
  expect(await back(WHOLE)).toEqual(WHOLE);
});

it.each([
  '=1+1.mov',
  '-dash.mov',
  "'quoted.mov",
  "'=both.mov",
  '@at.mov',
  ' blank .mov',
  'a,b";c.mov',
  'ü\n.mov',
])('a file called %j is neither a formula nor lost', async (file) => {
  const text = formatCsv({ ...WHOLE, clips: [{ file }] });
  expect(text.split('\r\n')[1]).not.toMatch(/^"?\s*[=+\-@]/);
  expect((await back({ ...WHOLE, clips: [{ file }] })).clips).toEqual([{ file }]);
});

it('has only the columns that are used', () => {
  const lines = formatCsv({ ...WHOLE, clips: [{ file: 'a.mov' }, { file: 'b.mov', exposure: 1 }] }).split(
    '\r\n',
  );
  expect(lines[0]).toBe('\uFEFFfile,exposure,root,title');
  expect(lines[2]).toBe('b.mov,1,,');
});

it('refuses what a list has no place for', () => {
  const clips = [{ file: 'a.mov', targets: ['my target.yaml'] }];
  expect(() => formatCsv({ ...WHOLE, clips })).toThrow(/cannot stand in a list/);
});

it('tells an unknown column and a wrong cell by their row', async () => {
  await writeFile(join(folder, 'bad.csv'), 'file,skip\na.mov,perhaps\n');
  await expect(loadManifest(join(folder, 'bad.csv'))).rejects.toMatchObject({ code: 'bad-document' });
});
