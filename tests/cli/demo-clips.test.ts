import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { DRAWN_CLIPS, UNREADABLE_FILE } from '../../cli/demo/clips.js';
import { DEMO_MANIFEST, demoDocuments, demoManifest } from '../../cli/demo/documents.js';
import { drawFrames, type PictureCoding } from '../../cli/demo/draw-frames.js';
import { hasDemoClips, makeDemoClips } from '../../cli/demo/make-clips.js';
import { HEIGHT, nearestCodedNits, PICTURES, WIDTH } from '../../cli/demo/pictures.js';
import { CARD_PATCHES, lampRoom, lighthouse } from '../../cli/demo/scenes.js';
import { writeTone } from '../../cli/demo/sound.js';
import { loadManifest } from '../../jobs/manifest/load-manifest.js';
import { manifest } from '../../jobs/manifest/manifest.js';
import { loadTarget } from '../../jobs/targets/load-target.js';
import { loadWaivers } from '../../jobs/verdict/load-waivers.js';

const run = promisify(execFile);
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-demo-'));
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

/** The first frame of a scene, as samples of the drawn file. */
async function firstFrame(scene: (typeof PICTURES)['nightLog']['take']['scene'], coding: PictureCoding) {
  const path = join(folder, 'frame.raw');
  const light = await drawFrames(
    path,
    { scene, frames: 1, frameSeconds: 0.04, startSeconds: 0, interlaced: false },
    coding,
  );
  const bytes = await readFile(path);
  const samples = new Uint16Array(bytes.buffer, bytes.byteOffset, bytes.byteLength / 2);
  return { samples, light };
}

/** Mean of a plane over the middle of a card of the lamp room. */
function cardMean(samples: Uint16Array, card: number): number {
  let sum = 0;
  let count = 0;
  const left = (0.3 + card * 0.125 + 0.02) * HEIGHT;
  for (let y = Math.ceil(0.86 * HEIGHT); y < 0.94 * HEIGHT; y++) {
    for (let x = Math.ceil(left); x < left + 0.07 * HEIGHT; x++) {
      sum += samples[y * WIDTH + x] ?? Number.NaN;
      count += 1;
    }
  }
  return sum / count;
}

describe('the drawn pictures', () => {
  // S-Log3 technical summary: 18 % grey is code 420, 90 % white 598 at 10 bits.
  // LogC3 at EI 800 (published formula): 18 % is signal 0.391007, 4095 times that is code 1601 at 12 bits.
  it.each([
    { curve: 'S-Log3', coding: PICTURES.nightLog.coding, card: 0, code: 420 },
    { curve: 'S-Log3', coding: PICTURES.nightLog.coding, card: 1, code: 598 },
    { curve: 'LogC3', coding: PICTURES.roomLog12.coding, card: 0, code: 1601 },
  ])('put card $card of the lamp room at code $code in $curve', async ({ coding, card, code }) => {
    const { samples } = await firstFrame(lampRoom(11.5), coding);
    expect(CARD_PATCHES[card]?.[0]).toBe(card === 0 ? 0.18 : 0.9);
    expect(Math.abs(cardMean(samples, card) - code)).toBeLessThan(0.6);
  });

  it('light the PQ lamp at code 723 and nothing above it', async () => {
    // BT.2100-3 table 4: (723 - 64) / 876 through the EOTF is 1004.2 cd/m2; neutral, so chroma is 512.
    const { samples } = await firstFrame(PICTURES.nightPq.take.scene, PICTURES.nightPq.coding);
    const luma = samples.subarray(0, WIDTH * HEIGHT);
    expect(luma.reduce((most, code) => Math.max(most, code), 0)).toBe(723);
    const x = Math.round(0.56 * HEIGHT);
    const y = Math.round(0.2 * HEIGHT);
    expect(luma[y * WIDTH + x]).toBe(723);
    expect(samples[WIDTH * HEIGHT + (y * WIDTH + (x & ~1)) / 2]).toBe(512);
    expect(nearestCodedNits(1000)).toBeCloseTo(1004.2, 1);
  });

  it('hold an 8-bit picture in the 10-bit insert, and a 10-bit one elsewhere', async () => {
    const shallow = await firstFrame(PICTURES.room8in10.take.scene, PICTURES.room8in10.coding);
    expect(shallow.samples.every((code) => code % 4 === 0)).toBe(true);
    const deep = await firstFrame(PICTURES.nightSdr.take.scene, PICTURES.nightSdr.coding);
    expect(deep.samples.every((code) => code % 4 === 0)).toBe(false);
  });

  it('go out of EBU R 103 range over far more than 1 % of the trailer, and never in the good master', async () => {
    // EBU R 103 v3: signals outside -5 % to 105 % (10-bit codes 20 and 984) count as out of range.
    const area = (samples: Uint16Array) =>
      samples.subarray(0, WIDTH * HEIGHT).filter((code) => code < 20 || code > 984).length / (WIDTH * HEIGHT);
    const hot = await firstFrame(PICTURES.nightHot.take.scene, PICTURES.nightHot.coding);
    const good = await firstFrame(PICTURES.nightSdr.take.scene, PICTURES.nightSdr.coding);
    expect(area(hot.samples)).toBeGreaterThan(0.02);
    expect(area(good.samples)).toBe(0);
  });

  it('move between the two fields of an interlaced frame', async () => {
    const { take, coding } = PICTURES.harbourFields;
    const path = join(folder, 'fields.raw');
    await drawFrames(path, { ...take, frames: 1 }, coding);
    const woven = await readFile(path);
    await drawFrames(path, { ...take, frames: 1, interlaced: false }, coding);
    const still = await readFile(path);
    const line = WIDTH * 2;
    const row = (bytes: Buffer, y: number) => bytes.subarray(y * line, (y + 1) * line);
    expect(row(woven, 100).equals(row(still, 100))).toBe(true);
    expect(row(woven, 101).equals(row(still, 101))).toBe(false);
  });

  it('are the same bytes every time', async () => {
    const one = await firstFrame(lighthouse(11.5), PICTURES.nightLog.coding);
    const two = await firstFrame(lighthouse(11.5), PICTURES.nightLog.coding);
    expect(Buffer.from(one.samples.buffer).equals(Buffer.from(two.samples.buffer))).toBe(true);
  });
});

it.each([-23, -16])('the tone of %d LUFS measures so with the loudness filter of ffmpeg', async (level) => {
  const path = join(folder, 'tone.f32');
  await writeTone(path, 2, level);
  const input = ['-f', 'f32le', '-ar', '48000', '-ac', '2', '-i', path];
  const { stderr } = await run('ffmpeg', ['-nostats', ...input, '-af', 'ebur128', '-f', 'null', '-']);
  expect(stderr).toContain(`I:         ${level.toFixed(1)} LUFS`);
});

describe('the documents', () => {
  it('name every clip in a manifest that validates', () => {
    const { clips } = manifest.parse(demoManifest());
    expect(clips.map((clip) => clip.file)).toEqual([
      ...DRAWN_CLIPS.map((clip) => clip.file),
      UNREADABLE_FILE,
    ]);
    expect(clips.length).toBeGreaterThanOrEqual(12);
  });

  it('say the curve of every log clip, which its file cannot', () => {
    const logs = DRAWN_CLIPS.filter((clip) => /Log/.test(clip.picture));
    expect(logs.length).toBeGreaterThan(2);
    for (const clip of logs) expect(clip.wanted.colour?.transfer).toMatch(/^(S-Log3|LogC3)$/);
  });

  it('name only targets that load, the built-in ones and the ones beside the manifest', async () => {
    const place = await mkdtemp(join(folder, 'documents-'));
    for (const [path, text] of demoDocuments()) {
      await mkdir(dirname(join(place, path)), { recursive: true });
      await writeFile(join(place, path), text);
    }
    const { clips } = (await loadManifest(join(place, DEMO_MANIFEST))).manifest;
    const names = new Set(clips.flatMap((clip) => clip.targets ?? []));
    expect(names.size).toBeGreaterThan(5);
    for (const name of names) {
      const target = await loadTarget(name, { baseFolder: place });
      expect(Object.keys(target.require ?? {})).toContain('decode');
      if (name.startsWith('targets/')) expect(target.require?.raster).toMatchObject({ width: WIDTH });
    }
  });

  it('hold a look of 33 x 33 x 33 colours between 0 and 1', () => {
    const text = demoDocuments().find(([path]) => path.endsWith('.cube'))?.[1] ?? '';
    const colours = text.split('\n').filter((line) => /^[\d.]+ [\d.]+ [\d.]+$/.test(line));
    expect(colours).toHaveLength(33 ** 3);
    for (const colour of colours) for (const v of colour.split(' ')) expect(Number(v)).toBeLessThanOrEqual(1);
  });
});

describe('makeDemoClips', () => {
  const some = DRAWN_CLIPS.filter(
    (clip) => clip.keep !== undefined || /маяк|interlaced|insert/.test(clip.file),
  );

  it('makes whole, odd-named, truncated and unreadable files, and the manifest last', async () => {
    const place = join(folder, 'demo');
    const told: string[] = [];
    await makeDemoClips(place, { clips: some, onProgress: (_done, _total, file) => told.push(file) });
    expect(told.sort()).toEqual([...some.map((clip) => clip.file), UNREADABLE_FILE].sort());
    expect(await hasDemoClips(place)).toBe(true);
    expect((await readdir(place)).filter((name) => name.startsWith('.'))).toEqual([]);
    for (const clip of some) {
      const count = ['-v', 'quiet', '-count_frames', '-select_streams', 'v:0', '-of', 'csv=p=0'];
      const asked = ['-show_entries', 'stream=nb_frames,nb_read_frames', `file:${join(place, clip.file)}`];
      const { stdout } = await run('ffprobe', [...count, ...asked]);
      const [declared, decoded] = stdout.trim().split(',').map(Number);
      expect(declared).toBe(40);
      if (clip.keep === undefined) expect(decoded).toBe(40);
      else expect(decoded).toBeLessThan(30);
    }
    await expect(run('ffprobe', ['-v', 'quiet', join(place, UNREADABLE_FILE)])).rejects.toThrow();
    const waived = some.filter((clip) => clip.waived !== undefined);
    expect(waived).toHaveLength(1);
    for (const { file } of waived) {
      const sha256 = createHash('sha256')
        .update(await readFile(join(place, file)))
        .digest('hex');
      expect(await loadWaivers(join(place, file))).toMatchObject([{ finding: 'bit-depth', sha256 }]);
    }
    // The bitstream itself must say it holds fields: a container's word alone leaves a combed picture in
    // doubt.
    const fields = some.find((clip) => clip.file.includes('interlaced'))?.file ?? '';
    const asked = ['-show_entries', 'frame=interlaced_frame,top_field_first', '-read_intervals', '%+#1'];
    const { stdout } = await run('ffprobe', [
      ...['-v', 'quiet', '-select_streams', 'v:0', ...asked, '-of', 'csv=p=0'],
      `file:${join(place, fields)}`,
    ]);
    expect(stdout.trim().split('\n')[0]).toBe('1,1');
  });

  it('stops when told to and leaves no half-drawn file behind', async () => {
    const place = join(folder, 'stopped');
    const stop = new AbortController();
    const work = makeDemoClips(place, { clips: some, signal: stop.signal, onProgress: () => stop.abort() });
    await expect(work).rejects.toMatchObject({ code: 'interrupted' });
    expect(await hasDemoClips(place)).toBe(false);
    expect((await readdir(place)).filter((name) => name.startsWith('.'))).toEqual([]);
    await expect(stat(join(place, 'masters'))).rejects.toThrow();
  });
});
