import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { builtInTargets, loadTarget } from '../../../jobs/targets/load-target.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-targets-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function write(name: string, yaml: string): Promise<string> {
  await writeFile(
    join(folder, `${name}.yaml`),
    `schema: goodgate/target@1\nname: ${name}\ntitle: ${name}\n${yaml}`,
  );
  return `${name}.yaml`;
}
const load = (path: string) => loadTarget(path, { baseFolder: folder });

describe('loadTarget', () => {
  it('gives every built-in target the name of its file', async () => {
    const files = await readdir(new URL('../../../jobs/targets/built-in/', import.meta.url));
    const targets = await builtInTargets();
    expect(targets.map((t) => `${t.name}.yaml`).sort()).toEqual(files.sort());
  });

  it('finds a file from the base folder, and by its absolute path', async () => {
    const file = await write('plain', 'require: { decode: {} }\n');
    expect((await load(file)).name).toBe('plain');
    expect((await load(join(folder, file))).require?.decode).toMatchObject({
      maxErrors: 0,
      severity: 'fail',
    });
  });

  it('says which target is nearest, and what lists them', async () => {
    await expect(load('hd-sdr-mastr')).rejects.toMatchObject({
      code: 'unknown-target',
      what: expect.stringContaining('the nearest is hd-sdr-master'),
      next: expect.stringContaining('goodgate targets lists'),
    });
  });

  it('does not take a path into the folder of the built-ins for a name', async () => {
    await expect(load('../package')).rejects.toMatchObject({ code: 'unknown-target' });
  });
});

it('reads colours by the words of the trade', async () => {
  const file = await write(
    'words',
    'require:\n  colour: { primaries: Rec.2020, transfer: [PQ, hlg], matrix: BT.2020, range: narrow }\n' +
      '  mastering-display: { primaries: [P3-D65, rec 2020] }\n',
  );
  const { require } = await load(file);
  expect(require?.colour).toMatchObject({
    primaries: 'bt2020',
    transfer: ['smpte2084', 'arib-std-b67'],
    matrix: 'bt2020nc',
  });
  expect(require?.['mastering-display']?.primaries).toEqual(['smpte432', 'bt2020']);
});

describe('extends', () => {
  it('keeps what is not said, changes what is said, drops what is null', async () => {
    const file = await write(
      'house',
      'extends: hd-sdr-master\nrequire:\n  loudness: { target: -24, tolerance: 2 }\n  timecode: null\n  scan: { is: [progressive] }\n',
    );
    const house = await load(file);
    const base = await load('hd-sdr-master');
    expect(house.name).toBe('house');
    expect(house.require?.raster).toEqual(base.require?.raster);
    expect(house.require?.loudness).toMatchObject({ target: -24, tolerance: 2 });
    expect(house.require?.timecode).toBeUndefined();
    expect(house.require?.scan?.is).toEqual(['progressive']);
  });

  it('does not let a changed limit go on claiming the document of the old one', async () => {
    const file = await write(
      'lenient',
      'extends: hd-sdr-master\nrequire:\n  signal-range: { maxArea: 0.5 }\n  true-peak: { severity: warn }\n  loudness: { tolerance: 1, source: our house }\n',
    );
    const { require } = await load(file);
    expect(require?.['signal-range']).toEqual({
      maxArea: 0.5,
      severity: 'fail',
      source: 'set by target lenient',
    });
    expect(require?.['true-peak']?.source).toContain('R 128');
    expect(require?.loudness?.source).toBe('our house');
  });

  it.each([
    ['how places are told', 'joinGaps: 12', 'R 103'],
    ['how much a miss counts', 'severity: warn', 'R 103'],
    ['where it holds', 'regions: [{ from: 0, to: 250 }]', 'set by target parts'],
  ])('takes %s for %s', async (_, change, source) => {
    const file = await write('parts', `extends: hd-sdr-master\nrequire:\n  signal-range: { ${change} }\n`);
    expect((await load(file)).require?.['signal-range']?.source).toContain(source);
  });

  it('replaces a raster as a whole', async () => {
    await write(
      'base-raster',
      'make:\n  container: mov\n  video: { codec: prores, profile: hq, bitDepth: 10, chroma: "4:2:2" }\n  raster: { width: 1920, height: 1080, fit: crop }\n',
    );
    const file = await write(
      'own-raster',
      'extends: base-raster.yaml\nmake: { raster: { maxWidth: 1280, maxHeight: 720 } }\n',
    );
    const { make } = await load(file);
    expect(make?.raster).toEqual({ maxWidth: 1280, maxHeight: 720 });
    expect(make?.video.profile).toBe('hq');
  });

  it('reaches over several steps', async () => {
    await write('one', 'extends: hd-sdr-master\nrequire: { timecode: { start: "10:00:00:00" } }\n');
    const { require } = await load(await write('two', 'extends: one.yaml\nrequire: { audio: null }\n'));
    expect(require?.timecode?.start).toBe('10:00:00:00');
    expect(require?.audio).toBeUndefined();
    expect(require?.colour).toBeDefined();
  });

  it('refuses a circle, naming it', async () => {
    await write('ring-a', 'extends: ring-b.yaml\n');
    await write('ring-b', 'extends: ring-a.yaml\n');
    await expect(load('ring-a.yaml')).rejects.toMatchObject({
      code: 'bad-document',
      what: expect.stringContaining('ring-a.yaml -> ring-b.yaml -> ring-a.yaml'),
    });
  });

  it('says where it names a target that does not exist', async () => {
    const file = await write('orphan', 'extends: hd-sdr-maste\n');
    await expect(load(file)).rejects.toMatchObject({
      code: 'unknown-target',
      where: expect.stringMatching(/orphan\.yaml:4:10$/),
      what: expect.stringContaining('nearest is hd-sdr-master'),
    });
  });

  it('gives the place of a mistake in the extending file', async () => {
    const file = await write('wrong', 'extends: hd-sdr-master\nrequire:\n  loudness: { taget: -24 }\n');
    await expect(load(file)).rejects.toMatchObject({ where: expect.stringMatching(/wrong\.yaml:6:15$/) });
  });
});

it('a codec that has no lossless form is not asked for one: its losses would go unnamed', async () => {
  const recipe = (codec: string): string =>
    `make:\n  container: mov\n  video: { codec: ${codec}, bitDepth: 10, chroma: "4:2:2", lossless: true }\n`;
  for (const codec of ['prores', 'cineform']) {
    await expect(load(await write(codec, recipe(codec))), codec).rejects.toMatchObject({
      what: expect.stringContaining('make.video.lossless'),
    });
  }
  expect((await load(await write('hevc', recipe('hevc')))).make?.video.lossless).toBe(true);
});
