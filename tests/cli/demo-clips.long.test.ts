import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { DRAWN_CLIPS, UNREADABLE_FILE } from '../../cli/demo/clips.js';
import { DEMO_MANIFEST, demoDocuments, demoManifest } from '../../cli/demo/documents.js';
import { DRAWN_FORMAT, drawFrames, HEIGHT, type Picture, WIDTH } from '../../cli/demo/draw-frames.js';
import { hasDemoClips, makeDemoClips, tone } from '../../cli/demo/make-clips.js';
import { nearestCodedNits, PICTURES } from '../../cli/demo/pictures.js';
import { CARD_PATCHES, lampRoom } from '../../cli/demo/scenes.js';
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

/** The first frame of a picture as a file holds it: 16-bit samples, planes one after the other. */
async function firstFrame(picture: Picture, filters: readonly string[] = []): Promise<Uint16Array> {
  const path = join(folder, 'frame.raw');
  await drawFrames(path, picture, 1);
  const coding = ['-vf', [...picture.coding, ...filters].join(',')];
  const out = ['-frames:v', '1', '-f', 'rawvideo', '-'];
  const { stdout } = await run('ffmpeg', ['-v', 'error', ...DRAWN_FORMAT, '-i', path, ...coding, ...out], {
    encoding: 'buffer',
    maxBuffer: 2 ** 24,
  });
  return new Uint16Array(Uint8Array.from(stdout).buffer);
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
    { curve: 'S-Log3', picture: PICTURES.nightLog, card: 0, code: 420 },
    { curve: 'S-Log3', picture: PICTURES.nightLog, card: 1, code: 598 },
    { curve: 'LogC3', picture: PICTURES.roomLog12, card: 0, code: 1601 },
  ])('put card $card of the lamp room at code $code in $curve', async ({ picture, card, code }) => {
    const samples = await firstFrame({ ...picture, scene: lampRoom(11.5) });
    expect(CARD_PATCHES[card]?.[0]).toBe(card === 0 ? 0.18 : 0.9);
    expect(Math.abs(cardMean(samples, card) - code)).toBeLessThan(0.6);
  });

  it('light the PQ lamp at code 723 and nothing above it', async () => {
    // BT.2100-3 table 4: (723 - 64) / 876 through the EOTF is 1004.2 cd/m2; neutral, so chroma is 512.
    const samples = await firstFrame(PICTURES.nightPq);
    const luma = samples.subarray(0, WIDTH * HEIGHT);
    expect(luma.reduce((most, code) => Math.max(most, code), 0)).toBe(723);
    const x = Math.round(0.56 * HEIGHT);
    const y = Math.round(0.2 * HEIGHT);
    expect(luma[y * WIDTH + x]).toBe(723);
    expect(samples[WIDTH * HEIGHT + (y * WIDTH + (x & ~1)) / 2]).toBe(512);
    expect(nearestCodedNits(1000)).toBeCloseTo(1004.2, 1);
  });

  it('hold an 8-bit picture in the 10-bit insert, and a 10-bit one elsewhere', async () => {
    const shallow = await firstFrame(PICTURES.room8in10);
    expect(shallow.every((code) => code % 4 === 0)).toBe(true);
    const deep = await firstFrame(PICTURES.nightSdr);
    expect(deep.every((code) => code % 4 === 0)).toBe(false);
  });

  it('go out of EBU R 103 range over far more than 1 % of the trailer, and never in the good master', async () => {
    // EBU R 103 v3: signals outside -5 % to 105 % (10-bit codes 20 and 984) count as out of range.
    const area = async (picture: Picture) => {
      const luma = (await firstFrame(picture)).subarray(0, WIDTH * HEIGHT);
      return luma.filter((code) => code < 20 || code > 984).length / luma.length;
    };
    expect(await area(PICTURES.nightHot)).toBeGreaterThan(0.02);
    expect(await area(PICTURES.nightSdr)).toBe(0);
  });

  it('move between the two fields of an interlaced frame', async () => {
    const clip = DRAWN_CLIPS.find(({ file }) => file.includes('interlaced'));
    const woven = await firstFrame(PICTURES.harbour, clip?.filters);
    const still = await firstFrame(PICTURES.harbour);
    const row = (samples: Uint16Array, y: number) => samples.slice(y * WIDTH, (y + 1) * WIDTH);
    expect(row(woven, 100)).toEqual(row(still, 100));
    expect(row(woven, 101)).not.toEqual(row(still, 101));
  });

  it('are the same bytes every time', async () => {
    const [one, two] = [await firstFrame(PICTURES.nightLog), await firstFrame(PICTURES.nightLog)];
    expect(Buffer.from(one.buffer).equals(Buffer.from(two.buffer))).toBe(true);
  });
});

it.each([-23, -16])('the tone of %d LUFS measures so with the loudness filter of ffmpeg', async (level) => {
  const { path, options } = tone(level, 2);
  const input = [...options, '-i', path];
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
    const values = colours.flatMap((colour) => colour.split(' ').map(Number));
    expect(values.reduce((most, value) => Math.max(most, value))).toBeLessThanOrEqual(1);
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
