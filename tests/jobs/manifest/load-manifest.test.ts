import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { formatManifest, loadManifest } from '../../../jobs/manifest/load-manifest.js';
import type { Manifest } from '../../../jobs/manifest/manifest.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-manifests-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function load(name: string, text: string): Promise<Manifest> {
  await writeFile(join(folder, name), text);
  const loaded = await loadManifest(join(folder, name));
  expect(loaded.folder).toBe(folder);
  return loaded.manifest;
}

const HOSTILE = [
  "it's 50% $(x).mov",
  '-dash: [a] {b}.mov',
  '"q" #1, \\n.mov',
  '日本語/ü.mov',
  ' blank .mov',
  '\u202egnp.mov',
];
const DOCUMENT: Manifest = {
  schema: 'goodgate/manifest@1',
  title: 'Day 3: "rain"',
  root: '/cards/A001',
  defaults: { targets: ['proxy-h264'], colour: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' } },
  clips: HOSTILE.map((file) => ({ file, exposure: -0.5 })),
  unreadable: [{ file: 'x\ny.mov', reason: 'no: stream' }],
};

describe('YAML and JSON', () => {
  it('come back from what formatManifest wrote, whatever the file names', async () => {
    const text = formatManifest(DOCUMENT);
    expect(text.startsWith('#')).toBe(true);
    expect(await load('m.yaml', text)).toEqual(DOCUMENT);
  });
  it('JSON is read as it is', async () => {
    expect(await load('m.json', JSON.stringify(DOCUMENT, null, 2))).toEqual(DOCUMENT);
  });
});

describe('a clip lies below the root', () => {
  const list = (file: string) => `file\n"${file}"\n`;
  it.each([
    '../../x.mov',
    'A001/../../x.mov',
    '/etc/passwd',
    '..',
    '.',
    './',
    'a\0b.mov',
    'a/'.repeat(2_000),
  ])('%j is refused', async (file) => {
    await writeFile(join(folder, 'up.csv'), list(file));
    await expect(loadManifest(join(folder, 'up.csv'))).rejects.toMatchObject({ code: 'bad-document' });
  });
  it.each([
    ['./A001//x.mov', 'A001/x.mov'],
    ['..x.mov', '..x.mov'],
    ['A001/./x..mov', 'A001/x..mov'],
  ])('%j is %j', async (file, plain) => {
    expect((await load('down.csv', list(file))).clips).toEqual([{ file: plain }]);
  });
});

describe('colours are read by the words of the trade, and are names from then on', () => {
  const colour = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt2020nc' };
  it('in YAML', async () => {
    const text = 'defaults: { colour: { transfer: SLog3, primaries: SGamut3Cine, matrix: Rec.2020 } }';
    const { defaults } = await load(
      'words.yaml',
      `schema: goodgate/manifest@1\ntitle: t\nroot: .\n${text}\nclips: []\n`,
    );
    expect(defaults?.colour).toEqual(colour);
  });
  it('in a list', async () => {
    const { clips } = await load(
      'words.csv',
      'file,transfer,primaries,matrix\na.mov,s-log3,s-gamut3 cine,BT.2020\nb.mov,PQ,,\n',
    );
    expect(clips.map((clip) => clip.colour)).toEqual([colour, { transfer: 'smpte2084' }]);
  });
});

describe('CSV', () => {
  it('a list with scan and sound', async () => {
    const text = 'file,scan,sound\na.mov,interlaced-bff,3 4\nb.mov,,mix\nc.mov,,2\n';
    expect((await load('tracks.csv', text)).clips).toEqual([
      { file: 'a.mov', scan: 'interlaced-bff', sound: [3, 4] },
      { file: 'b.mov', sound: 'mix' },
      { file: 'c.mov', sound: [2] },
    ]);
    await expect(load('wrong.csv', 'file,sound\na.mov,left\n')).rejects.toMatchObject({
      code: 'bad-document',
    });
  });

  it('a list with columns', async () => {
    const { title, root, clips } = await load(
      'day 4.csv',
      '\uFEFFFile,Reel,transfer,primaries,exposure,targets,startTimecode\r\n' +
        '"a, b.mov",A001,S-Log3,S-Gamut3.Cine,+0.5,proxy-h264 archive-ffv1,01:00:00:00\r\n' +
        '"say ""hi"".mov",,,,,,\r\n',
    );
    expect({ title, root }).toEqual({ title: 'day 4', root: '.' });
    expect(clips).toEqual([
      {
        file: 'a, b.mov',
        reel: 'A001',
        startTimecode: '01:00:00:00',
        exposure: 0.5,
        targets: ['proxy-h264', 'archive-ffv1'],
        colour: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' },
      },
      { file: 'say "hi".mov' },
    ]);
  });
  it('divided by semicolons, as spreadsheets of many countries write it', async () => {
    expect((await load('semi.csv', 'file;reel\na,1.mov;R1\n')).clips).toEqual([
      { file: 'a,1.mov', reel: 'R1' },
    ]);
  });
  it('one file name on each line, without a heading', async () => {
    expect((await load('bare.csv', 'a.mov\n\nb, c.mov\n')).clips).toEqual([
      { file: 'a.mov' },
      { file: 'b, c.mov' },
    ]);
  });
  it.each([
    [
      'an unknown heading',
      'file,colour space\na.mov,x\n',
      /bad\.csv:2: clips\[0\]: unknown key "colour space"/,
    ],
    [
      'a wrong value',
      'file,exposure\na.mov,0\nb.mov,bright\n',
      /bad\.csv:3: clips\[1\]\.exposure: given "bright"; allowed: a number/,
    ],
    [
      'a wrong name',
      'file,transfer\na.mov,SLog9\n',
      /clips\[0\]\.colour\.transfer: given "SLog9".*nearest is S-Log3/,
    ],
    ['a quote that never ends', 'file\n"a.mov\n', /bad\.csv:/],
    ['a row without a file', 'file,reel\n,R1\n', /bad\.csv:2: clips\[0\]\.file: is missing/],
  ])('%s is told with its line', async (_, text, message) => {
    await expect(load('bad.csv', text)).rejects.toThrow(message);
  });
});
