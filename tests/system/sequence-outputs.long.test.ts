import { mkdir, readdir, readFile, stat, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { measurement as measurementSchema } from '../../jobs/measurement/measurement.js';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { sweep } from '../../workers/batch/sweep.js';
import { readHeader } from '../../workers/sequence/read-header.js';
import { dpxFrame, place } from '../media/sequences.js';
import { openWorkshop, type Workshop } from './goodgate.js';

const SIZE = { width: 64, height: 36 };
/** Black, 18 % grey and a 90 % white of S-Log3 at 10 bits: 95, 420 and 598, as its maker publishes them. */
const CODES = [95, 420, 598];

let shop: Workshop;
const at = (...parts: string[]): string => join(shop.folder, ...parts);

/** The first sample of one picture, decoded by ffmpeg with nothing of goodgate. */
async function sampleOf(path: string, pixelFormat: string): Promise<Buffer> {
  // Without it `%` in a name stands for a number.
  const plain = ['-f', 'image2', '-pattern_type', 'none'];
  const args = ['-v', 'error', ...plain, '-i', path, '-pix_fmt', pixelFormat, '-f', 'rawvideo', '-'];
  const { stdout } = await execa('ffmpeg', args, { encoding: 'buffer' });
  return Buffer.from(stdout);
}

function target(name: string, container: string, video: string, more = ''): Promise<void> {
  return writeFile(
    at(`${name}.yaml`),
    [
      `schema: goodgate/target@1\nname: ${name}\ntitle: For effects`,
      `make: { container: ${container}, video: { ${video}, chroma: "4:4:4", rgb: true }${more} }`,
      `require: { decode: { maxErrors: 0 }, container: { is: [${container}] }, as-original: { frames: true, timecode: false } }\n`,
    ].join('\n'),
  );
}

beforeAll(async () => {
  shop = await openWorkshop();
  for (const [index, code] of CODES.entries()) {
    const frame = {
      ...SIZE,
      code,
      televisionRate: 24,
      timecode: 0x0100_0000 + index,
      aspect: [2, 1] as const,
    };
    place(at(`card/50%_a.${1101 + index}.dpx`), dpxFrame(frame));
  }
  await target('as-tiff', 'tiff', 'codec: tiff, bitDepth: 16');
  await execa('ffmpeg', [
    ...[
      '-v',
      'error',
      '-f',
      'lavfi',
      '-i',
      'testsrc2=s=64x36:r=25',
      '-frames:v',
      '3',
      '-timecode',
      '10:00:00:00',
    ],
    ...['-c:v', 'prores_ks', '-pix_fmt', 'yuv422p10le', at('card/C0001.mov')],
  ]);
  await writeFile(
    at('list.csv'),
    'file,transfer,primaries\ncard/50%_a.#.dpx,S-Log3,bt709\ncard/C0001.mov,S-Log3,S-Gamut3.Cine\n',
  );
});
afterAll(() => shop.close());

/** The two that are built in, and one of one's own. */
const NAMES = { dpx: 'effects-dpx-10', tiff: 'as-tiff', exr: 'effects-exr-linear' } as const;
const TARGETS = [NAMES.dpx, `${NAMES.tiff}.yaml`, NAMES.exr].flatMap((name) => ['--target', name]);

describe('a sequence for effects', { timeout: 180_000 }, () => {
  it('is a folder named after the clip with the numbers of its original, measured and judged', async () => {
    const plan = await shop.start(['plan', 'list.csv', ...TARGETS, '--out', 'out']);
    const words = plan.stdout.replace(/\s+/g, ' ');
    expect(words).toContain('dpx, as ffmpeg writes it, has no timecode: 01:00:00:00');
    expect(words).toContain(
      'tiff, as ffmpeg writes it, states no rate: tell whoever gets it that it is 24/1',
    );
    const run = await shop.start(['run', 'list.csv', ...TARGETS, '--out', 'out']);
    expect(run.exitCode, run.stderr + run.stdout).toBe(0);
    for (const [kind, name] of Object.entries(NAMES)) {
      const names = await readdir(at(`out/${name}/card/50%_a`));
      expect(names.sort()).toEqual([1101, 1102, 1103].map((number) => `50%_a.${number}.${kind}`));
      expect((await readdir(at(`out/${name}/card/C0001`))).sort()).toEqual(
        [1001, 1002, 1003].map((number) => `C0001.${number}.${kind}`),
      );
      expect((await readdir(at(`out/${name}/card`))).filter((name) => name.startsWith('.'))).toEqual([]);
    }
    const { clips } = batchSchema.parse(JSON.parse(await readFile(at('out/batch.json'), 'utf8')));
    expect(clips.flatMap(({ items }) => items.map(({ path, word }) => [path, word])).sort()).toEqual(
      Object.entries(NAMES)
        .flatMap(([kind, name]) =>
          ['50%_a', 'C0001'].map((clip) => [`${name}/card/${clip}/${clip}.#.${kind}`, 'pass']),
        )
        .sort(),
    );
  });

  it('has the codes of its original in DPX and TIFF', async () => {
    for (const [index, code] of CODES.entries()) {
      const dpx = await sampleOf(at(`out/effects-dpx-10/card/50%_a/50%_a.${1101 + index}.dpx`), 'gbrp10le');
      expect(dpx.readUInt16LE(0)).toBe(code);
      const tiff = await sampleOf(at(`out/as-tiff/card/50%_a/50%_a.${1101 + index}.tiff`), 'rgb48le');
      expect(Math.abs(tiff.readUInt16LE(0) - (code / 1023) * 65_535)).toBeLessThanOrEqual(1);
    }
  });

  it('has the light of the scene in OpenEXR, its rate, and no more than its header holds', async () => {
    const light = await Promise.all(
      [1102, 1103].map(async (number) =>
        (
          await sampleOf(at(`out/effects-exr-linear/card/50%_a/50%_a.${number}.exr`), 'gbrpf32le')
        ).readFloatLE(0),
      ),
    );
    // The codes are rounded to 10 bits and the light to half floats.
    expect(Math.abs((light[0] ?? 0) / 0.18 - 1)).toBeLessThan(0.01);
    expect(Math.abs((light[1] ?? 0) / 0.9 - 1)).toBeLessThan(0.01);
    const header = await readHeader(at('out/effects-exr-linear/card/50%_a/50%_a.1101.exr'));
    expect(header).toMatchObject({ rate: { num: 24, den: 1 }, timecode: null, primaries: 'bt709' });
    const dpx = await readHeader(at('out/effects-dpx-10/card/50%_a/50%_a.1101.dpx'));
    expect(dpx).toMatchObject({ rate: null, timecode: null, sampleAspect: { num: 2, den: 1 } });
    const measured = await readFile(
      at('out/measurements/effects-dpx-10/card/50%_a/50%_a.#.dpx.json'),
      'utf8',
    );
    // The headers state no rate: nothing that needs one is made up.
    expect(measurementSchema.parse(JSON.parse(measured)).video).toMatchObject({ frames: 3, frameRate: null });
  });

  it('is replaced as a whole when its original changed, and made by nobody twice', async () => {
    const before = await stat(at('out/effects-dpx-10/card/50%_a/50%_a.1101.dpx'));
    place(
      at('card/50%_a.1103.dpx'),
      dpxFrame({ ...SIZE, code: 700, televisionRate: 24, timecode: 0x0100_0002, aspect: [2, 1] }),
    );
    const again = ['run', 'list.csv', '--target', 'effects-dpx-10', '--out', 'out', '--replace'];
    const run = await shop.start(again);
    expect(run.exitCode, run.stderr + run.stdout).toBe(0);
    const dpx = await sampleOf(at('out/effects-dpx-10/card/50%_a/50%_a.1103.dpx'), 'gbrp10le');
    expect(dpx.readUInt16LE(0)).toBe(700);
    expect((await stat(at('out/effects-dpx-10/card/50%_a/50%_a.1101.dpx'))).mtimeMs).toBeGreaterThan(
      before.mtimeMs,
    );
    expect(await readdir(at('out/effects-dpx-10/card'))).toEqual(['50%_a', 'C0001']);
  });

  it('is refused where it would hold sound, or light that is not known', async () => {
    await target('loud', 'dpx', 'codec: dpx, bitDepth: 10', ', audio: { codec: pcm_s24le }');
    await writeFile(at('shown.csv'), 'file,transfer,primaries\ncard/50%_a.#.dpx,bt709,bt709\n');
    const plan = await shop.start([
      ...['plan', 'shown.csv', '--target', 'loud.yaml', '--target', 'effects-exr-linear', '--out', 'no'],
    ]);
    expect(plan.exitCode).toBe(3);
    const words = plan.stdout.replace(/\s+/g, ' ');
    expect(words).toContain('holds no sound');
    expect(words).toContain('a picture made for a display');
  });
});

it('leaves no half-made folder behind: what a dead worker left is swept', async () => {
  const half = at('swept/effects-dpx-10/.a.0123456789ab.tmp');
  await mkdir(half, { recursive: true });
  await writeFile(join(half, 'a.1001.dpx'), 'half');
  const longAgo = new Date(Date.now() - 3 * 24 * 3_600_000);
  await utimes(half, longAgo, longAgo);
  await sweep(at('swept'));
  expect(await readdir(at('swept/effects-dpx-10'))).toEqual([]);
});
