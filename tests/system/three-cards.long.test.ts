import { cp, mkdir, readFile, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { manifest as manifestSchema } from '../../jobs/manifest/manifest.js';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { dpxFrame, exrFrame, place } from '../media/sequences.js';
import { bext, ixml, waveFile } from '../media/wave.js';
import { openWorkshop, type Workshop } from './goodgate.js';

/**
 * Three cards as cameras write them, drawn here, scanned, verified, planned and run over two evenings into
 * one project. Every count is that of what was drawn.
 */
let shop: Workshop;
const at = (...parts: string[]): string => join(shop.folder, ...parts);
const SIZE = { width: 64, height: 36 };

const SPEED = '<SPEED><TIMECODE_RATE>30000/1001</TIMECODE_RATE><TIMECODE_FLAG>NDF</TIMECODE_FLAG></SPEED>';

interface Drawn {
  readonly rate?: string;
  readonly frames?: number;
  readonly size?: string;
  readonly channels?: number;
  readonly timecode?: string;
  readonly more?: readonly string[];
}

async function draw(
  path: string,
  { rate = '25', frames = 10, size = '64x36', channels = 0, timecode, more = [] }: Drawn,
) {
  await mkdir(at(path, '..'), { recursive: true });
  const seconds = (frames * (rate === '30000/1001' ? 1001 / 30_000 : 1 / Number(rate))).toFixed(6);
  const sound = Array.from({ length: channels }, (_, n) => [
    '-f',
    'lavfi',
    '-i',
    `sine=f=${200 * (n + 1)}:r=48000`,
  ]);
  const maps = Array.from({ length: channels }, (_, n) => ['-map', `${n + 1}:a`]);
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', `testsrc2=s=${size}:r=${rate}`, ...sound.flat()],
    ...['-map', '0:v', ...maps.flat(), '-frames:v', String(frames), '-t', seconds, '-pix_fmt', 'yuv420p'],
    ...['-c:v', 'ffv1', '-c:a', 'pcm_s16le', ...(timecode === undefined ? [] : ['-timecode', timecode])],
    ...[...more, at(path)],
  ]);
}

/** As large as a recorder makes it that begins another file at 2 GiB, which takes no room on the disk. */
async function fill(path: string): Promise<void> {
  const { length } = await readFile(at(path));
  const total = Math.floor(0.995 * 2 ** 31);
  const head = Buffer.alloc(8);
  head.writeUInt32BE(total - length, 0);
  head.write('free', 4, 'latin1');
  await writeFile(at(path), head, { flag: 'a' });
  await truncate(at(path), total);
}

beforeAll(async () => {
  shop = await openWorkshop();
  // A001: nested folders, sidecars, low-resolution copies, four and eight channels, anamorphic, three broken
  // files.
  await draw('cards/A001/CLIPS/C0001.mov', { channels: 4, timecode: '10:00:00:00' });
  await draw('cards/A001/CLIPS/C0002.mov', {
    channels: 8,
    timecode: '11:00:00:00',
    more: ['-aspect', '32:9'],
  });
  const low = ['-c:v', 'libx264', '-preset', 'ultrafast', '-crf', '40'];
  await draw('cards/A001/SUB/C0001S03.mp4', { size: '32x18', timecode: '10:00:00:00', more: low });
  await draw('cards/A001/SUB/C0002S03.mp4', { size: '32x18', timecode: '11:00:00:00', more: low });
  for (const name of ['C0001M01.XML', 'C0001.JPG']) await writeFile(at('cards/A001/CLIPS', name), 'beside');
  await writeFile(at('cards/A001/INDEX.DAT'), 'an index');
  await writeFile(at('cards/A001/CLIPS/C0003.mov'), '');
  const whole = await readFile(at('cards/A001/CLIPS/C0001.mov'));
  await writeFile(at('cards/A001/CLIPS/C0004.mov'), whole.subarray(0, whole.length / 2));
  // B001: a take in two parts, a clip by a wrong name, one of the same name as on A001, sound recorded apart.
  await draw('cards/B001/T01_1.mov', { rate: '30000/1001', timecode: '10:00:00;00' });
  await draw('cards/B001/T01_2.mov', { rate: '30000/1001', timecode: '10:00:00;10', frames: 6 });
  await fill('cards/B001/T01_1.mov');
  await draw('cards/B001/CLIPS/C0001.mov', { rate: '50', channels: 2 });
  await draw('cards/B001/odd.mov', { rate: '24' });
  await cp(at('cards/B001/odd.mov'), at('cards/B001/copied.dat'));
  await writeFile(
    at('cards/B001/T01.wav'),
    // 108,000 frames of non-drop timecode at 30000/1001 take 3603.6 s (SMPTE ST 12-1).
    waveFile([bext(3603.6 * 48_000), ixml(`<SCENE>12A</SCENE><TAKE>3</TAKE>${SPEED}`)]),
  );
  // C001: pictures for effects, the DPX sequence with a gap.
  for (const number of [1, 2, 4, 5]) {
    const frame = { ...SIZE, code: 100 * number, televisionRate: 24, timecode: 0x0100_0000 + number - 1 };
    place(at(`cards/C001/plate/plate.${number}.dpx`), dpxFrame(frame));
  }
  for (const number of [1, 2, 3]) {
    place(
      at(`cards/C001/cg/cg_${number}.exr`),
      exrFrame({ ...SIZE, light: [0.18, 0.18, 0.18], half: true, rate: [24, 1] }),
    );
  }
  const colour = 'colour: { transfer: bt709, primaries: bt709, matrix: bt709, range: narrow }';
  await writeFile(
    at('see.yaml'),
    [
      'schema: goodgate/target@1\nname: see\ntitle: To look at',
      `make: { container: mkv, ${colour}, video: { codec: ffv1, bitDepth: 8, chroma: "4:2:0" } }`,
      'require: { decode: { maxErrors: 0 }, as-original: { frames: true, timecode: false, sound: false } }\n',
    ].join('\n'),
  );
});
afterAll(() => shop.close());

async function read() {
  return manifestSchema.parse(parse(await readFile(at('project.yaml'), 'utf8')));
}

async function outcomes(): Promise<string[]> {
  const { clips } = batchSchema.parse(JSON.parse(await readFile(at('out/batch.json'), 'utf8')));
  return clips
    .map(({ name, state, items }) => `${name}: ${items.map(({ word }) => word).join() || state}`)
    .sort();
}

describe('three cards over two evenings', { timeout: 600_000 }, () => {
  it('the first evening: two cards are scanned, one verified, planned and run', async () => {
    const scan = await shop.start(['scan', 'cards/A001', 'cards/B001', '-o', 'project.yaml']);
    expect(scan.exitCode, scan.stderr).toBe(0);
    expect(scan.stderr).toContain('sound apart: B001/T01.wav: scene 12A, take 3, 01:00:00:00');
    // Six takes of which one is in parts, an empty file and half a copy; one recording of sound.
    const cameIn = '8 clips came in (2 unreadable), 1 file of sound recorded apart';
    expect(scan.stderr).toContain(cameIn);
    const { clips, unreadable, leftOut, notes } = await read();
    expect(clips.map(({ file, parts = [] }) => [file, ...parts].join(' + '))).toEqual([
      'A001/CLIPS/C0001.mov',
      'A001/CLIPS/C0002.mov',
      'B001/CLIPS/C0001.mov',
      'B001/copied.dat',
      'B001/odd.mov',
      'B001/T01_1.mov + B001/T01_2.mov',
      'B001/T01.wav',
    ]);
    expect(unreadable?.map(({ file }) => file)).toEqual(['A001/CLIPS/C0003.mov', 'A001/CLIPS/C0004.mov']);
    expect(unreadable?.[0]?.reason).toContain('0 bytes');
    expect(leftOut?.map(({ file, as }) => `${file} ${as}`)).toEqual([
      'A001/CLIPS/C0001.JPG thumbnail',
      'A001/CLIPS/C0001M01.XML sidecar',
      'A001/INDEX.DAT index or data file',
      'A001/SUB/C0001S03.mp4 low-resolution copy',
      'A001/SUB/C0002S03.mp4 low-resolution copy',
    ]);
    expect(notes?.join('\n')).toContain('same content: B001/copied.dat, B001/odd.mov (same size');
    expect(clips.map(({ facts }) => facts?.audio.length)).toEqual([4, 8, 2, 0, 0, 0, 1]);
    expect(clips[1]?.facts?.video?.sampleAspect).toBe('2/1');
    expect(clips[5]?.facts?.video).toMatchObject({ frames: 16, frameRate: '30000/1001' });

    // A list for a spreadsheet says the same, and so does the plan of either.
    await shop.start(['scan', 'project.yaml', '-o', 'project.csv']);
    for (const manifest of ['project.yaml', 'project.csv']) {
      const plan = await shop.start(['plan', manifest, '--target', 'see.yaml']);
      expect(plan.stdout).toContain(cameIn);
      expect(plan.stdout).toContain('6 clips, 6 outputs');
    }
    expect((await shop.start(['attest', 'cards/A001'])).exitCode).toBe(0);
    expect((await shop.start(['verify', 'cards/A001'])).exitCode).toBe(0);
    const run = await shop.start(['run', 'project.yaml', '--target', 'see.yaml', '--out', 'out']);
    // Two files cannot be read; nothing failed.
    expect(run.exitCode, run.stderr + run.stdout).toBe(3);
    expect(await outcomes()).toEqual([
      'A001/CLIPS/C0001.mov: pass',
      'A001/CLIPS/C0002.mov: pass',
      'B001/CLIPS/C0001.mov: pass',
      'B001/T01_1.mov: pass',
      'B001/copied.dat: pass',
      'B001/odd.mov: pass',
    ]);
  });

  it('the second evening: the plates of a third card are added, and one report is over all', async () => {
    const edited = (await readFile(at('project.yaml'), 'utf8')).replace(
      /^title: .*$/m,
      'title: Night 4 # mine',
    );
    await writeFile(at('project.yaml'), edited);
    const add = await shop.start(['scan', 'cards/C001/plate', '--add', '-o', 'project.yaml']);
    expect(add.exitCode, add.stderr).toBe(0);
    expect(await readFile(at('project.yaml'), 'utf8')).toContain('title: Night 4 # mine');
    const { clips, unreadable } = await read();
    expect([clips.length, unreadable?.length]).toEqual([8, 2]);
    const run = await shop.start(['run', 'project.yaml', '--target', 'see.yaml', '--out', 'out']);
    // A frame of the plate is missing: the copy is told from a damaged original.
    expect(run.exitCode, run.stderr + run.stdout).toBe(1);
    expect(await outcomes()).toEqual([
      'A001/CLIPS/C0001.mov: pass',
      'A001/CLIPS/C0002.mov: pass',
      'B001/CLIPS/C0001.mov: pass',
      'B001/T01_1.mov: pass',
      'B001/copied.dat: pass',
      'B001/odd.mov: pass',
      'C001/plate/plate.#.dpx: fail',
    ]);

    // The rest of it has a manifest of its own, which joins the batch: nothing of it is lost or made anew.
    const before = await readFile(at('out/measurements/see/A001/CLIPS/C0001.mkv.json'), 'utf8');
    expect((await shop.start(['scan', 'cards/C001/cg', '-o', 'second.yaml'])).exitCode).toBe(0);
    const join = await shop.start(['run', 'second.yaml', '--target', 'see.yaml', '--out', 'out']);
    expect(join.exitCode, join.stderr + join.stdout).toBe(1);
    expect(await outcomes()).toEqual([
      'A001/CLIPS/C0001.mov: pass',
      'A001/CLIPS/C0002.mov: pass',
      'B001/CLIPS/C0001.mov: pass',
      'B001/T01_1.mov: pass',
      'B001/copied.dat: pass',
      'B001/odd.mov: pass',
      'C001/plate/plate.#.dpx: fail',
      'cg_#.exr: pass',
    ]);
    expect(await readFile(at('out/measurements/see/A001/CLIPS/C0001.mkv.json'), 'utf8')).toBe(before);
    const { totals } = batchSchema.parse(JSON.parse(await readFile(at('out/batch.json'), 'utf8')));
    // Eight results, of which one failed, and the two files of the first card that cannot be read.
    expect(totals).toMatchObject({ results: 10, pass: 7, fail: 1, unreadable: 2, clips: 10 });
    const report = await readFile(at('out/report.html'), 'utf8');
    for (const name of ['C0003.mov', 'C0004.mov', 'plate.#.dpx', 'cg_#.exr'])
      expect(report.replaceAll('<wbr>', '')).toContain(name);
    const damaged = at('cards/A001/CLIPS/C0002.mov');
    await truncate(damaged, 5_000);
    const verify = await shop.start(['verify', 'cards/A001']);
    expect(verify.exitCode).toBe(1);
    expect(verify.stdout + verify.stderr).toContain('C0002.mov');
  });
});
