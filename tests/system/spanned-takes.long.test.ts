import { readFile, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { manifest as manifestSchema } from '../../jobs/manifest/manifest.js';
import { openWorkshop, type Workshop } from './goodgate.js';

const RATE = '30000/1001';
const FRAMES = [20, 20, 15];
const SIZE = 64 * 36;

let shop: Workshop;
const at = (...parts: string[]): string => join(shop.folder, ...parts);

/** A number of frames at 30000/1001, and their samples at 48 kHz, exactly where that is a whole number. */
const samplesOf = (frames: number): number => Math.round((frames * 48_000 * 1001) / 30_000);

/** Of the first two seconds, in which drop frame drops nothing. */
const timecodeOf = (frame: number): string =>
  `10:00:0${Math.floor(frame / 30)};${String(frame % 30).padStart(2, '0')}`;

/** Each frame of the take has a grey of its own; the sound is a ramp that tells every sample. */
async function draw(name: string, from: number, frames: number): Promise<void> {
  const [first, end] = [samplesOf(from), samplesOf(from + frames)];
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', `color=black:s=64x36:r=${RATE}`],
    ...['-f', 'lavfi', '-i', `aevalsrc=exprs='(n+${first})/131072':s=48000`],
    ...['-vf', `trim=end_frame=${frames},format=yuv420p,geq=lum='16+2*(N+${from})':cb=128:cr=128`],
    ...['-af', `atrim=end_sample=${end - first}`, '-timecode', timecodeOf(from)],
    ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709', '-color_range', 'tv'],
    ...['-c:v', 'ffv1', '-c:a', 'pcm_s24le', at(name)],
  ]);
}

async function greysOf(path: string): Promise<number[]> {
  const args = ['-v', 'error', '-i', path, '-map', '0:v', '-pix_fmt', 'yuv420p', '-f', 'rawvideo', '-'];
  const { stdout } = await execa('ffmpeg', args, { encoding: 'buffer' });
  const frame = (SIZE * 3) / 2;
  return Array.from({ length: stdout.length / frame }, (_, index) => stdout[index * frame] ?? -1);
}

async function soundOf(path: string): Promise<Int32Array> {
  const args = ['-v', 'error', '-i', path, '-map', '0:a', '-c:a', 'pcm_s32le', '-f', 's32le', '-'];
  const { stdout } = await execa('ffmpeg', args, { encoding: 'buffer' });
  return new Int32Array(Uint8Array.from(stdout).buffer);
}

beforeAll(async () => {
  shop = await openWorkshop();
  await execa('mkdir', ['-p', at('card')]);
  let from = 0;
  for (const [index, frames] of FRAMES.entries()) {
    await draw(`card/A001_${index + 1}.mov`, from, frames);
    from += frames;
  }
  await writeFile(
    at('copy.yaml'),
    [
      'schema: goodgate/target@1\nname: copy\ntitle: A copy',
      'make: { container: mkv, video: { codec: ffv1, bitDepth: 8, chroma: "4:2:0" }, audio: { codec: pcm_s24le } }',
      'require: { decode: { maxErrors: 0 }, as-original: { frames: true, timecode: true, sound: all } }\n',
    ].join('\n'),
  );
});
afterAll(() => shop.close());

describe('a take in three parts', { timeout: 240_000 }, () => {
  it('is joined where the manifest says so: not a frame and not a sample lost or doubled', async () => {
    const parts = '[card/A001_2.mov, card/A001_3.mov]';
    await writeFile(
      at('take.yaml'),
      `schema: goodgate/manifest@1\ntitle: t\nroot: .\nclips:\n  - { file: card/A001_1.mov, parts: ${parts} }\n`,
    );
    const run = await shop.start(['run', 'take.yaml', '--target', 'copy.yaml', '--out', 'out']);
    expect(run.exitCode, run.stderr + run.stdout).toBe(0);
    const count = FRAMES.reduce((sum, frames) => sum + frames, 0);
    const copy = at('out/copy/card/A001_1.mkv');
    expect(await greysOf(copy)).toEqual(Array.from({ length: count }, (_, n) => 16 + 2 * n));
    const sound = await soundOf(copy);
    expect(sound.length).toBe(samplesOf(count));
    // Of 24 bits, in the upper part of 32: n / 131072 of full scale is 64 n.
    expect([...sound].every((value, n) => Math.abs(value / 256 - 64 * n) <= 1)).toBe(true);
  });

  it('is known by itself where its parts are as large as a file can be', async () => {
    // What follows the last box is empty space, which takes none on the disk.
    for (const number of [1, 2]) {
      const path = at(`card/A001_${number}.mov`);
      const { length } = await readFile(path);
      const total = Math.floor(0.995 * 2 ** 32);
      const head = Buffer.alloc(8);
      head.writeUInt32BE(total - length, 0);
      head.write('free', 4, 'latin1');
      await writeFile(path, head, { flag: 'a' });
      await truncate(path, total);
    }
    const scan = await shop.start(['scan', 'card', '-o', 'card.yaml']);
    expect(scan.exitCode, scan.stderr).toBe(0);
    const { clips } = manifestSchema.parse(parse(await readFile(at('card.yaml'), 'utf8')));
    expect(clips.map(({ file, parts }) => [file, parts])).toEqual([
      ['A001_1.mov', ['A001_2.mov', 'A001_3.mov']],
    ]);
    expect(clips[0]?.facts?.video?.frames).toBe(55);
  });

  it('is refused where a part is of another format, and where one is gone', async () => {
    await execa('ffmpeg', [
      '-v',
      'error',
      '-f',
      'lavfi',
      '-i',
      'color=red:s=32x32:d=0.1',
      '-c:v',
      'ffv1',
      at('card/odd.mov'),
    ]);
    const list = (part: string) =>
      `schema: goodgate/manifest@1\ntitle: t\nroot: .\nclips:\n  - { file: card/A001_3.mov, parts: [${part}] }\n`;
    for (const [part, reason] of [
      ['card/odd.mov', 'part 2 is not of the format of the first'],
      ['card/gone.mov', 'no such file'],
    ] as const) {
      await writeFile(at('bad.yaml'), list(part));
      const plan = await shop.start(['plan', 'bad.yaml', '--target', 'copy.yaml', '--out', 'no']);
      expect(plan.exitCode).toBe(3);
      expect(plan.stdout.replace(/\s+/g, ' ')).toContain(reason);
    }
  });
});
