import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { readEnvironment } from '../../cli/environment.js';
import { preparePlan } from '../../cli/prepare-plan.js';
import { runBatch } from '../../cli/run/run-batch.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import {
  codeErrors,
  expectedPositions,
  HEIGHT,
  logColours,
  RENDERED_TO,
  S_LOG3,
  WIDTH,
  ycbcrCodes,
} from './log-colours.js';

/**
 * The same aim as rendering-end-to-end.test.ts, through the whole of `run`: a lossless S-Log3 clip of known
 * codes, planned, queued, rendered by a worker to lossless BT.709, PQ and HLG, and those files decoded.
 */
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-run-'));
});
afterAll(() => rm(folder, { recursive: true }));

const FRAMES = 3;
const CODES = logColours().map(ycbcrCodes);

async function ffmpeg(
  input: string,
  inputOptions: string[],
  output: string,
  options: string[],
): Promise<void> {
  const result = await runFfmpeg({
    inputs: [{ path: input, options: inputOptions }],
    outputs: [{ path: output, options }],
  });
  expect(result.errors).toEqual([]);
  expect(result.exitCode).toBe(0);
}

async function writeClip(path: string): Promise<void> {
  const frame = Uint16Array.from([0, 1, 2].flatMap((plane) => CODES.map((code) => code[plane] ?? 0)));
  const raw = join(folder, 'frame.raw');
  await writeFile(raw, new Uint8Array(frame.buffer));
  const size = `${WIDTH}x${HEIGHT}`;
  await ffmpeg(
    raw,
    [
      '-stream_loop',
      String(FRAMES - 1),
      '-f',
      'rawvideo',
      '-pix_fmt',
      'yuv444p10le',
      '-video_size',
      size,
      '-framerate',
      '25',
    ],
    path,
    [
      '-c:v',
      'ffv1',
      '-level',
      '3',
      '-colorspace',
      'bt709',
      '-color_range',
      'tv',
      '-field_order',
      'progressive',
    ],
  );
}

async function decode(path: string): Promise<number[][]> {
  const raw = join(folder, 'out.raw');
  await ffmpeg(path, [], raw, ['-f', 'rawvideo', '-pix_fmt', 'yuv444p10le']);
  const bytes = await readFile(raw);
  const size = WIDTH * HEIGHT;
  expect(bytes.length).toBe(size * 3 * 2 * FRAMES);
  return [0, 1, 2].map((plane) =>
    Array.from({ length: size }, (_, i) => bytes.readUInt16LE(2 * (plane * size + i))),
  );
}

it('run renders S-Log3 to lossless BT.709, PQ and HLG within a code of double precision', async () => {
  const card = join(folder, 'card');
  await mkdir(card);
  await writeClip(join(card, 'log.mkv'));
  const targets = await Promise.all(
    RENDERED_TO.map(async (colour) => {
      const path = join(folder, `${colour.transfer}.yaml`);
      const target = {
        schema: 'goodgate/target@1',
        name: `lossless-${colour.transfer}`,
        title: `Lossless ${colour.transfer}`,
        make: {
          container: 'mkv',
          video: { codec: 'ffv1', bitDepth: 10, chroma: '4:4:4', lossless: true },
          colour,
        },
      };
      await writeFile(path, stringify(target));
      return path;
    }),
  );
  const manifest = join(folder, 'manifest.yaml');
  const { transfer, primaries, matrix, range } = S_LOG3;
  await writeFile(
    manifest,
    stringify({
      schema: 'goodgate/manifest@1',
      title: 'log colours',
      root: card,
      clips: [{ file: 'log.mkv', colour: { transfer, primaries, matrix, range }, targets }],
    }),
  );
  const environment = { ...readEnvironment({}), stateFolder: join(folder, 'state') };
  const out = join(folder, 'out');
  const prepared = await preparePlan({ input: manifest, targets: [], out, workers: 1, environment });
  expect(prepared.plan.refused).toEqual([]);
  const batch = await runBatch(prepared, {
    environment,
    redis: undefined,
    logLevel: 'silent',
    signal: new AbortController().signal,
  });
  const items = batch.clips.flatMap((clip) => clip.items).filter(({ kind }) => kind === 'output');
  expect(items).toHaveLength(RENDERED_TO.length);
  for (const to of RENDERED_TO) {
    const item = items.find(({ target }) => target === `lossless-${to.transfer}`);
    if (item === undefined) throw new Error(`no output for ${to.transfer}`);
    const { rounded, exact } = codeErrors(await decode(join(out, item.path)), expectedPositions(CODES, to));
    expect(rounded.mean, to.transfer).toBeLessThan(0.25);
    expect(exact.p999, to.transfer).toBeLessThan(1);
  }
});
