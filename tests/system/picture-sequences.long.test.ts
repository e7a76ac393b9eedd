import { copyFile, mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { manifest as manifestSchema } from '../../jobs/manifest/manifest.js';
import { measurement as measurementSchema } from '../../jobs/measurement/measurement.js';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { findings as findingsSchema } from '../../jobs/verdict/findings.js';
import { dpxFrame, exrFrame, place } from '../media/sequences.js';
import { openWorkshop, type Workshop } from './goodgate.js';

const SIZE = { width: 64, height: 36 };
/** The code of a frame, by its number: every frame is told from every other. */
const codeOf = (number: number): number => 64 + 8 * (number - 1001);
/** 01:00:00:00 at 24 frames a second and the frames after it, in the digits of ST 12-1. */
const timecodeOf = (number: number): number => 0x0100_0000 + Number(`0x${number - 1001}`);

let shop: Workshop;
const at = (...parts: string[]): string => join(shop.folder, ...parts);

function draw(folder: string, stem: string, numbers: readonly number[], changes = {}): void {
  for (const number of numbers) {
    const frame = { ...SIZE, code: codeOf(number), timecode: timecodeOf(number), televisionRate: 24 };
    place(at(folder, `${stem}${number}.dpx`), dpxFrame({ ...frame, ...changes }));
  }
}

/** The first sample of each frame of a file, decoded by ffmpeg with nothing of goodgate. */
async function codesOf(path: string): Promise<number[]> {
  const { stdout } = await execa(
    'ffmpeg',
    ['-v', 'error', '-i', path, '-pix_fmt', 'gbrp10le', '-f', 'rawvideo', '-'],
    { encoding: 'buffer' },
  );
  const frame = SIZE.width * SIZE.height * 3 * 2;
  const bytes = Buffer.from(stdout);
  return Array.from({ length: bytes.length / frame }, (_, index) => bytes.readUInt16LE(index * frame));
}

async function readManifest(path: string) {
  return manifestSchema.parse(parse(await readFile(at(path), 'utf8')));
}

const NUMBERS = [1001, 1002, 1003, 1004, 1005, 1006, 1007, 1008];

beforeAll(async () => {
  shop = await openWorkshop();
  draw('card/shot', 's010.', NUMBERS);
  // 1004 is missing, 1006 is empty.
  const gaps = NUMBERS.filter((number) => number !== 1004);
  draw('card/gap', '-%d"s020_', gaps);
  place(at('card/gap/-%d"s020_1006.dpx'), Buffer.alloc(0));
  await writeFile(
    at('keep.yaml'),
    [
      'schema: goodgate/target@1\nname: keep\ntitle: Every code kept',
      'make: { container: mkv, video: { codec: ffv1, bitDepth: 10, chroma: "4:4:4", rgb: true } }',
      'require: { decode: { maxErrors: 0 }, as-original: {} }\n',
    ].join('\n'),
  );
  await writeFile(
    at('judge.yaml'),
    'schema: goodgate/target@1\nname: judge\ntitle: Whole\nrequire: { decode: { maxErrors: 0 } }\n',
  );
});
afterAll(() => shop.close());

describe('a folder of pictures', { timeout: 180_000 }, () => {
  it('is one clip with rate and timecode of its headers, gaps told by number', async () => {
    const scan = await shop.start(['scan', 'card', '-o', 'card.yaml']);
    expect(scan.exitCode, scan.stderr).toBe(0);
    expect(scan.stderr).toContain('-%d"s020_#.dpx: missing: 1004');
    const { clips, unreadable } = await readManifest('card.yaml');
    expect(unreadable).toBeUndefined();
    expect(clips.map(({ file }) => file)).toEqual(['gap/-%d"s020_#.dpx', 'shot/s010.#.dpx']);
    const [gap, shot] = clips;
    expect(shot?.facts).toMatchObject({
      bytes: NUMBERS.length * (2_048 + 4 * SIZE.width * SIZE.height),
      container: { startTimecode: '01:00:00:00', durationSeconds: 8 / 24 },
      video: { frames: 8, frameRate: '24/1', bitDepth: 10, ...SIZE },
      sequence: { first: 1001, last: 1008, files: 8, faults: [] },
    });
    expect(gap?.facts?.sequence?.faults).toEqual([
      { why: 'missing', numbers: ['1004'] },
      { why: 'empty (0 bytes)', numbers: ['1006'] },
    ]);
  });

  it('is made, measured and judged; the frame before stands in the place of one that is not there', async () => {
    const colour = 'defaults: { colour: { transfer: bt709, primaries: bt709 } }\n';
    await writeFile(at('card.yaml'), colour + (await readFile(at('card.yaml'), 'utf8')));
    const plan = await shop.start(['plan', 'card.yaml', '--target', 'keep.yaml', '--out', 'out']);
    expect(plan.stdout.replace(/\s+/g, ' ')).toContain(
      'missing: 1004; the frame before stands in the place of each',
    );
    const run = await shop.start([
      ...['run', 'card.yaml', '--target', 'keep.yaml', '--target', 'judge.yaml', '--out', 'out'],
    ]);
    expect(run.exitCode, run.stderr).toBe(1);
    const head = run.stdout.replace(/\s+/g, ' ');
    expect(head).toContain('has faulty frames: missing: 1004; empty (0 bytes): 1006');
    expect(head).not.toContain('from the card');
    expect(await codesOf(at('out/keep/shot/s010.mkv'))).toEqual(NUMBERS.map(codeOf));
    const held = [1001, 1002, 1003, 1003, 1005, 1005, 1007, 1008].map(codeOf);
    expect(await codesOf(at('out/keep/gap/-%d"s020.mkv'))).toEqual(held);
    const { clips } = batchSchema.parse(JSON.parse(await readFile(at('out/batch.json'), 'utf8')));
    const words = clips.flatMap(({ name, items }) => items.map(({ target, word }) => [name, target, word]));
    expect(words.sort()).toEqual([
      ['gap/-%d"s020_#.dpx', 'judge', 'fail'],
      ['gap/-%d"s020_#.dpx', 'keep', 'fail'],
      ['shot/s010.#.dpx', 'judge', 'pass'],
      ['shot/s010.#.dpx', 'keep', 'pass'],
    ]);
    const text = await readFile(at('out/measurements/originals/gap/-%d"s020_#.dpx.json'), 'utf8');
    const { events, decode, container } = measurementSchema.parse(JSON.parse(text));
    expect(container.startTimecode).toBe('01:00:00:00');
    expect(decode).toMatchObject({
      errors: 2,
      messages: ['frame 1004: missing', 'frame 1006: empty (0 bytes)'],
    });
    expect(events.filter(({ kind }) => kind === 'bad-frame')).toMatchObject([
      { from: 3, to: 4, fromTimecode: '01:00:00:03' },
      { from: 5, to: 6, fromTimecode: '01:00:00:05' },
    ]);
  });

  it('is checked and measured by the path that stands for it', async () => {
    const paths = ['card/shot/s010.#.dpx', 'card/gap/-%d"s020_#.dpx'];
    const checked = await shop.start(['check', ...paths, '-t', 'judge.yaml', '--json']);
    expect(checked.exitCode, checked.stderr).toBe(1);
    const { verdicts } = findingsSchema.parse(JSON.parse(String(checked.stdout)));
    const verdictOf = (path: string) => verdicts.find(({ file }) => file === at(path))?.verdict;
    expect(paths.map(verdictOf)).toEqual(['pass', 'fail']);
    const copy = [
      'check',
      'out/keep/shot/s010.mkv',
      '--original',
      'card/shot/s010.#.dpx',
      '-t',
      'judge.yaml',
    ];
    const compared = await shop.start([...copy, '--report', 'checked']);
    expect(compared.exitCode, compared.stderr).toBe(0);
    const measured = await shop.start(['measure', 'card/shot/s010.#.dpx']);
    expect(measured.exitCode, measured.stderr).toBe(0);
  });

  it('is made again only where one of its files changed', async () => {
    const again = ['run', 'card.yaml', '--target', 'keep.yaml', '--target', 'judge.yaml', '--out', 'out'];
    const untouched = await readFile(at('out/keep/gap/-%d"s020.mkv'));
    draw('card/shot', 's010.', [1003], { code: 900 });
    // Another file at the place of one that is in the batch: the plan has to be given the folder.
    const run = await shop.start([...again, '--replace']);
    expect(run.exitCode, run.stderr).toBe(1);
    expect((await codesOf(at('out/keep/shot/s010.mkv')))[2]).toBe(900);
    expect((await readFile(at('out/keep/gap/-%d"s020.mkv'))).equals(untouched)).toBe(true);
    draw('card/shot', 's010.', [1003]);
  });

  it('is told where headers do not agree, a number is there twice, or a file is cut short', async () => {
    draw('odd', 'a', [1001, 1002, 1003, 1004, 1005]);
    draw('odd', 'a', [1002], { width: 32 });
    draw('odd', 'a', [1003], { televisionRate: 25 });
    draw('odd', 'a', [1004], { timecode: 0x0200_0000 });
    draw('odd', 'a0', [1005]);
    const cut = dpxFrame({ ...SIZE, code: 100, timecode: 0x0100_0005, televisionRate: 24 });
    place(at('odd/a1006.dpx'), cut.subarray(0, 3_000));
    const scan = await shop.start(['scan', 'odd', '-o', 'odd.yaml']);
    expect(scan.exitCode, scan.stderr).toBe(0);
    expect((await readManifest('odd.yaml')).clips[0]?.facts?.sequence?.faults).toEqual([
      { why: 'size 32 x 36, the first has 64 x 36', numbers: ['1002'] },
      { why: 'rate 25/1, the first has 24/1', numbers: ['1003'] },
      { why: 'its timecode does not continue that of the first', numbers: ['1004'] },
      { why: 'shorter than its header says: cut short, or still being copied', numbers: ['1006'] },
      { why: 'there twice; a01005.dpx is not used', numbers: [] },
    ]);
  });

  it('needs a rate: from the manifest where its headers declare none', async () => {
    draw('mute', 'm', NUMBERS, { televisionRate: undefined, timecode: undefined });
    await mkdir(at('made'), { recursive: true });
    const colour = 'colour: { transfer: bt709, primaries: bt709 }';
    const list = (rate: string) =>
      `schema: goodgate/manifest@1\ntitle: t\nroot: .\ndefaults: { ${colour}${rate} }\nclips: [{ file: "mute/m#.dpx" }]\n`;
    await writeFile(at('mute.yaml'), list(''));
    const without = await shop.start(['plan', 'mute.yaml', '--target', 'keep.yaml', '--out', 'muted']);
    expect(without.exitCode).toBe(3);
    expect(without.stdout).toContain('the clip declares no frame rate');
    expect(without.stdout.replace(/\s+/g, ' ')).toContain('set frameRate of the clip in the manifest');
    await writeFile(at('mute.yaml'), list(', frameRate: 30000/1001'));
    const run = await shop.start(['run', 'mute.yaml', '--target', 'keep.yaml', '--out', 'muted']);
    expect(run.exitCode, run.stderr).toBe(0);
    const asked = ['-v', 'error', '-show_entries', 'stream=r_frame_rate', '-of', 'csv=p=0'];
    const { stdout } = await execa('ffprobe', [...asked, at('muted/keep/mute/m.mkv')]);
    expect(stdout.trim()).toBe('30000/1001');
    expect(await codesOf(at('muted/keep/mute/m.mkv'))).toEqual(NUMBERS.map(codeOf));
    // Compared where no plan is beside the copy, at the rate of the copy.
    await copyFile(at('muted/keep/mute/m.mkv'), at('made/m.mkv'));
    const same = await shop.start(['compare', 'mute/m#.dpx', 'made/m.mkv']);
    expect([same.exitCode, same.stdout], same.stderr).toEqual([0, expect.stringContaining('All 8 frames')]);
  });

  it('is held against the hash list of its card, frame by frame', async () => {
    draw('listed', 'l', NUMBERS);
    await writeFile(at('listed.csv'), 'file,transfer,primaries\nlisted/l#.dpx,bt709,bt709\n');
    expect((await shop.start(['attest', 'listed'])).exitCode).toBe(0);
    const whole = await shop.start(['run', 'listed.csv', '--target', 'keep.yaml', '--out', 'listed-out']);
    expect(whole.exitCode, whole.stderr).toBe(0);
    draw('listed', 'l', [1005], { code: 500 });
    const damaged = await shop.start(['run', 'listed.csv', '--target', 'keep.yaml', '--out', 'damaged-out']);
    expect(damaged.exitCode).toBe(3);
    expect(damaged.stdout + damaged.stderr).toContain('l1005.dpx');
    await rm(at('listed'), { recursive: true });
  });
});

describe('pictures of linear light', { timeout: 180_000 }, () => {
  /** One light a frame: 18 % grey, a white diffuser, and two stops over it. */
  const LIGHTS = [0.18, 1, 4];

  beforeAll(async () => {
    for (const half of [true, false]) {
      for (const [index, light] of LIGHTS.entries()) {
        const frame = { ...SIZE, half, light: [light, light, light] as const, rate: [24, 1] as const };
        const picture = exrFrame({ ...frame, timecode: 0x0100_0000 + index });
        place(at(`light/half-${half}/l.${index + 1}.exr`), picture);
      }
    }
    await writeFile(
      at('shown.yaml'),
      [
        'schema: goodgate/target@1\nname: shown\ntitle: Shown in SDR',
        'make: { container: mkv, colour: { transfer: bt709, primaries: bt709, matrix: bt709, range: narrow }, video: { codec: ffv1, bitDepth: 10, chroma: "4:4:4", rgb: true } }',
        'require: { decode: { maxErrors: 0 } }\n',
      ].join('\n'),
    );
    const run = await shop.start(['run', 'light', '--target', 'shown.yaml', '--out', 'light-out']);
    expect(run.exitCode, run.stderr).toBe(0);
  });

  it.each([true, false])(
    'are measured in stops and rendered with what is brighter than white (half: %s)',
    async (half) => {
      // BT.709-6, item 1.2: 18 % grey is 0.409 of the signal; RGB of FFV1 is coded in full range.
      const [grey = 0, white = 0, over = 0] = await codesOf(at(`light-out/shown/half-${half}/l.mkv`));
      expect(Math.abs(grey / 1023 - 0.409)).toBeLessThan(0.005);
      expect([grey < white, white < over, over <= 1023]).toEqual([true, true, true]);
      const path = at(`light-out/measurements/originals/half-${half}/l.#.exr.json`);
      const text = await readFile(path, 'utf8');
      const measured = measurementSchema.parse(JSON.parse(text));
      expect(measured.container.startTimecode).toBe('01:00:00:00');
      // The middle one of three lights, in stops from 18 % grey.
      expect(measured.exposure?.medianStops).toBeCloseTo(Math.log2(1 / 0.18), 1);
      expect(measured.video).toMatchObject({ frames: 3, frameRate: '24/1', colour: { transfer: 'linear' } });
    },
  );
});
