import { existsSync, readdirSync } from 'node:fs';
import { copyFile, mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findFont } from '../../workers/capabilities/find-font.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import { makeCommand } from '../../workers/make/make-command.js';
import { scanFolder } from '../../workers/probe/card/scan-folder.js';
import { type BakedFiles, bakeToFiles } from '../../workers/rendering/bake-files.js';
import { HOSTILE_NAMES } from '../workers/ffmpeg/hostile-names.js';
import { codec, HD, LOG, planned, RECIPE } from '../workers/make/recipes.js';

/**
 * Names as they come from a card are hostile input: each goes through the whole of it, scanned, decoded, its
 * LUT opened by a filter, its name burnt in and written as reel, and made into a file of that name.
 */
let card: string;
let out: string;
let fontFile: string | null;
/**
 * All of them in few names, to keep this quick: eight joined ones, and three whose first character matters.
 */
const parts = HOSTILE_NAMES.map((name) => name.replaceAll('/', '\u2215'));
const joined = Array.from({ length: 8 }, (_, group) => parts.filter((_part, i) => i % 8 === group).join('~'));
const names = [...joined, '-y', '%03d', ' first'].map((name) => `${name}.nut`);

beforeAll(async () => {
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-hostile-'));
  card = join(folder, "it's a card: [1], 100%;");
  out = join(folder, 'out');
  await mkdir(card);
  await mkdir(out);
  fontFile = await findFont();
  const made = await runFfmpeg({
    inputs: [{ path: 'testsrc2=s=64x36:r=25', options: ['-f', 'lavfi'] }],
    outputs: names.map((name) => ({
      path: join(card, name),
      options: ['-frames:v', '2', '-c:v', 'ffv1', '-pix_fmt', 'yuv422p10le'],
    })),
  });
  expect(made).toMatchObject({ exitCode: 0, errors: [] });
});
afterAll(() => rm(join(card, '..'), { recursive: true, force: true }));

describe('hostile names', () => {
  it('are scanned under their own name, then decoded, rendered, burnt in and written', async () => {
    const { clips, unreadable } = await scanFolder([card]);
    expect(clips.map(({ file }) => file).sort()).toEqual([...names].sort());
    expect(unreadable).toBeUndefined();

    const rendering = { from: LOG, to: HD, exposure: 0, look: null };
    const baked = await bakeToFiles(rendering, join(out, 'luts'));
    const before = readdirSync('.');
    for (const { file, facts } of clips) {
      if (facts === undefined) throw new Error(`${file} has no facts`);
      const temporaryPath = join(out, file);
      const command = makeCommand({
        clip: { path: join(card, file), name: file, facts, colour: LOG },
        outputs: [
          {
            temporaryPath,
            baked: { ...baked, steps: await namedAs(file, baked.steps) },
            quantiser: null,
            output: planned({
              container: 'mov',
              video: codec('libx264', 'yuv420p'),
              raster: { ...RECIPE.raster, width: 64, height: 36, scaledWidth: 64, scaledHeight: 36 },
              sourceColour: LOG,
              rendering,
              burnIn: { clipName: file, timecode: '10:00:00:00', reel: null, text: null },
              timecode: '10:00:00:00',
              reel: file,
            }),
          },
        ],
        taps: [],
        capabilities: { fontFile },
      });
      expect(await runFfmpeg(command), file).toMatchObject({ exitCode: 0, errors: [] });
      expect(existsSync(temporaryPath), file).toBe(true);
    }
    // Nothing was written to where no path points.
    expect(readdirSync('.')).toEqual(before);
    expect(readdirSync(out).sort()).toEqual([...names, 'luts'].sort());
  });
});

/** The tables again, under the hostile name: filters open them by path. */
async function namedAs(name: string, steps: BakedFiles['steps']): Promise<BakedFiles['steps']> {
  return Promise.all(
    steps.map(async (step, index) => {
      if (step.kind === 'shape') return step;
      const path = join(out, 'luts', `${index} ${name}.cube`);
      await copyFile(step.path, path);
      return { ...step, path };
    }),
  );
}
