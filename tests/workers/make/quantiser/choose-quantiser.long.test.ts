import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { pino } from 'pino';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { prores } from '../../../../jobs/codecs/prores.js';
import type { OutputRecipe, PlannedClip } from '../../../../jobs/plan/plan.js';
import { runFfmpeg } from '../../../../workers/ffmpeg/run-ffmpeg.js';
import { makeCommand } from '../../../../workers/make/make-command.js';
import { chooseQuantiser } from '../../../../workers/make/quantiser/choose-quantiser.js';
import { readSizes } from '../../../../workers/make/quantiser/sample-command.js';
import { Making } from '../making.js';
import { planned, RECIPE } from '../recipes.js';

/** Published target rates: SMPTE RDD 36 (published-values J), with its tolerance of 10 %. */
const [WIDTH, HEIGHT] = [480, 272];
const SIZE = `s=${WIDTH}x${HEIGHT}:r=25`;
/** Grain over a soft ramp; flat title cards between; a chart. */
const PICTURES = {
  grain: `gradients=${SIZE}:c0=0x224466:c1=0xddaa77:nb_colors=2:seed=1,format=yuv422p10le,noise=alls=12:allf=t:all_seed=1`,
  chart: `testsrc2=${SIZE}`,
  'a title, then grain': `color=gray:${SIZE},format=yuv422p10le,noise=alls=14:allf=t:all_seed=1:enable='gte(n,12)'`,
} as const;

const SITE = { capabilities: { fontFile: null }, tools: { ffmpeg: 'ffmpeg', ffprobe: 'ffprobe' } };
const CONTEXT = { signal: new AbortController().signal, log: pino({ level: 'silent' }) };
let making: Making;
const clips = new Map<string, PlannedClip>();
beforeAll(async () => {
  making = await Making.begin();
  for (const [name, source] of Object.entries(PICTURES)) {
    clips.set(name, await making.clip(`${name}.mkv`, source, '-frames:v', '24', '-pix_fmt', 'yuv422p10le'));
  }
});
afterAll(() => making.end());

function clipOf(name: string): PlannedClip {
  const clip = clips.get(name);
  if (clip === undefined) throw new Error(`no clip ${name}`);
  return clip;
}
function recipeOf(profile: string): OutputRecipe {
  const raster = { ...RECIPE.raster, width: WIDTH, height: HEIGHT, scaledWidth: WIDTH, scaledHeight: HEIGHT };
  return { ...RECIPE, raster, video: { ...RECIPE.video, profile } };
}
function choose(clip: PlannedClip, recipe: OutputRecipe): Promise<number | null> {
  const output = { output: planned(recipe), temporaryPath: '', baked: null };
  return chooseQuantiser(clip, output, making.folder, SITE, CONTEXT);
}
/** Bits of a pixel that come out, and PSNR of all planes against the original, by ffmpeg's filter. */
async function made(clip: PlannedClip, recipe: OutputRecipe, quantiser: number | null) {
  const path = join(making.folder, 'made.mov');
  const command = makeCommand({
    clip,
    outputs: [{ output: planned(recipe), temporaryPath: path, baked: null, quantiser }],
    taps: [],
    capabilities: { fontFile: null },
  });
  expect(await runFfmpeg(command)).toMatchObject({ exitCode: 0, errors: [] });
  let psnr = 0;
  await runFfmpeg(
    {
      inputs: [path, clip.path].map((each) => ({ path: each, options: [] })),
      outputs: [{ path: '-', options: ['-lavfi', 'psnr', '-f', 'null'] }],
    },
    {
      onLine: (line) => {
        psnr = Number(/average:([\d.]+)/.exec(line)?.[1] ?? psnr);
      },
    },
  );
  return { bitsPerPixel: ((await stat(path)).size * 8) / (WIDTH * HEIGHT * 24), psnr };
}

describe('one quantiser for a clip', () => {
  it.each([
    ['grain', 'hq'],
    ['grain', 'proxy'],
    ['a title, then grain', 'hq'],
  ])(
    '%s in profile %s: the published rate, and no coarser than the encoder by itself',
    async (name, profile) => {
      const clip = clipOf(name);
      const recipe = recipeOf(profile);
      const quantiser = await choose(clip, recipe);
      const chosen = await made(clip, recipe, quantiser);
      const own = await made(clip, recipe, null);
      const published = prores.bitsPerPixel(recipe);
      expect(chosen.bitsPerPixel).toBeLessThan(1.1 * published);
      // What a rate buys: 6.02 dB for each bit of a sample, of which 4:2:2 has two a pixel.
      const spared = 3.01 * (own.bitsPerPixel - chosen.bitsPerPixel);
      expect(chosen.psnr).toBeGreaterThan(own.psnr - spared - 0.3);
    },
  );

  it('a clean picture is coded as finely as the codec can', async () => {
    expect(await choose(clipOf('chart'), recipeOf('hq'))).toBe(1);
  });

  it('gives the same answer again', async () => {
    const recipe = recipeOf('hq');
    expect(await choose(clipOf('grain'), recipe)).toBe(await choose(clipOf('grain'), recipe));
  });

  it.each<[string, Partial<PlannedClip['facts']>, Partial<OutputRecipe['video']>]>([
    ['whose codec keeps its own rate', {}, { encoder: 'libx264', profile: null }],
    ['with alpha', {}, { profile: '4444', alpha: true, pixelFormat: 'yuva444p10le' }],
    ['without a picture', { video: null }, {}],
  ])('chooses none for an output %s', async (_, facts, video) => {
    const clip = clipOf('chart');
    const recipe = recipeOf('hq');
    const other = { ...recipe, video: { ...recipe.video, ...video } };
    expect(await choose({ ...clip, facts: { ...clip.facts, ...facts } }, other)).toBeNull();
  });

  it('leaves a clip that cannot be sampled to the encoder', async () => {
    const clip = clipOf('chart');
    expect(await choose({ ...clip, path: join(making.folder, 'gone.mkv') }, recipeOf('hq'))).toBeNull();
  });
});

describe('sizes in a list', () => {
  it('are the fifth field of each packet', () => {
    expect(readSizes('#software: x\n#tb 0: 1/25\n0, 0, 0, 1, 1234, 0xabc\n0, 1, 1, 1, 99, 0x1\n')).toEqual([
      1234, 99,
    ]);
  });
});
