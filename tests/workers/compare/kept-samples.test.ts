import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OutputRecipe, PlannedOutput } from '../../../jobs/plan/plan.js';
import { type ComparedFile, comparePictures } from '../../../workers/compare/compare-pictures.js';
import { chooseFrames } from '../../../workers/compare/sampling/choose-frames.js';
import { KeptSamples, samplesToBe } from '../../../workers/compare/sampling/kept-samples.js';
import { recipeAlike } from '../../../workers/compare/sampling/reference-recipe.js';
import { measureFile } from '../../../workers/measure/measure-file.js';
import { FRAMES, fileOf, HEIGHT, Pairs, WIDTH } from './pairs.js';

/** Copies coded in another order, in fields, packed, with alpha, in R'G'B'. */
const COPIES = [
  { name: 'prores.mov', filters: 'null', options: ['-c:v', 'prores_ks', '-profile:v', 'hq'] },
  { name: 'alpha.mov', filters: 'format=yuva444p10', options: ['-c:v', 'prores_ks', '-profile:v', '4444'] },
  { name: 'long-gop.mp4', filters: 'format=yuv420p', options: ['-c:v', 'libx264', '-bf', '3', '-g', '12'] },
  { name: 'fields.mkv', filters: 'setfield=tff', options: ['-c:v', 'ffv1'] },
  { name: 'rgb.mkv', filters: 'format=gbrp12', options: ['-c:v', 'ffv1'] },
  { name: 'packed.mov', filters: 'null', options: ['-c:v', 'v210'] },
];

let pairs: Pairs;
let kept: KeptSamples;
let original: ComparedFile;
let prores: ComparedFile;

beforeAll(async () => {
  pairs = await Pairs.begin();
  kept = new KeptSamples();
  await pairs.draw('original.mkv', 'yuv422p10le');
  await pairs.copy(pairs.path('original.mkv'), COPIES);
  [original, prores] = [await fileOf(pairs.path('original.mkv')), await fileOf(pairs.path('prores.mov'))];
});

afterAll(async () => {
  kept.remove();
  await pairs.end();
});

/** Frames of a file as ffmpeg gives them when it decodes it from its start, by itself. */
function decoded(name: string, frames: readonly number[], pixelFormat: string): Buffer {
  return execFileSync(
    'ffmpeg',
    [
      ...['-v', 'error', '-nostdin', '-i', pairs.path(name), '-map', '0:v'],
      ...['-vf', `select=${frames.map((frame) => `eq(n\\,${frame})`).join('+')}`, '-fps_mode', 'passthrough'],
      ...['-pix_fmt', pixelFormat, '-f', 'rawvideo', '-'],
    ],
    { maxBuffer: 2 ** 28 },
  );
}

describe('frames kept while a file is measured', () => {
  it.each(COPIES)('of $name are those a decode of its own gives', async ({ name }) => {
    const frames = [0, 3, 4, FRAMES - 1];
    const { facts } = await fileOf(pairs.path(name));
    if (facts.video === null) throw new Error('it has no picture');
    await measureFile(pairs.path(name), { facts, keep: kept.keep(name, frames, facts.video) });
    const taken = kept.of(name);
    if (taken === undefined) throw new Error('nothing was kept');
    expect(taken.frames).toEqual(frames);
    expect(readFileSync(taken.file).equals(decoded(name, frames, taken.pixelFormat))).toBe(true);
    kept.drop(name);
    expect(existsSync(taken.file)).toBe(false);
  });

  it('change no figure, and are compared without decoding the files again', async () => {
    const [had, is] = [original, prores];
    const decodedAgain = await comparePictures(had, is, {});
    const chosen = chooseFrames(FRAMES, { ofCopy: FRAMES, bytes: WIDTH * HEIGHT * 4, deinterlace: false });
    const both = [
      { key: 'original', file: had, frames: [0, ...chosen.frames.filter((frame) => frame > 0)] },
      { key: 'copy', file: is, frames: chosen.copy },
    ];
    for (const { key, file, frames } of both) {
      const { facts, path } = file;
      if (facts.video === null) throw new Error('it has no picture');
      const keep = kept.keep(key, frames, facts.video);
      const plain = await measureFile(path, { facts, colour: file.colour });
      expect(await measureFile(path, { facts, colour: file.colour, keep })).toEqual(plain);
    }
    // Neither file can be read any more.
    const gone = { path: pairs.path('gone.mov') };
    const found = await comparePictures(
      { ...had, ...gone, kept: kept.of('original') },
      { ...is, ...gone, kept: kept.of('copy') },
      {},
    );
    expect(found).toEqual({ ...decodedAgain, original: gone.path });
  });

  it('are taken from the file where not all of them came', async () => {
    const { facts, path } = prores;
    if (facts.video === null) throw new Error('it has no picture');
    await measureFile(path, { facts, keep: kept.keep('short', [0, FRAMES], facts.video) });
    expect(kept.of('short')).toBeUndefined();
  });

  it('are not missed by a measurement that cannot write them', async () => {
    const { facts, path } = prores;
    let told: string | null | undefined;
    const keep = { frames: [0], file: '/dev/full', onEnd: (format: string | null) => (told = format) };
    const measured = await measureFile(path, { facts, keep });
    expect(measured.video?.frames).toBe(FRAMES);
    expect(told).toBeNull();
  });

  it('take no more room than a comparison may', () => {
    const uhd = { pixelFormat: 'yuv422p10le', width: 3840, height: 2160 };
    // 33.2 MB a frame: fifteen fit in 512 MiB, sixteen and one more do not.
    expect(
      kept.keep(
        'a',
        Array.from({ length: 15 }, (_, frame) => frame),
        uhd,
      ),
    ).toBeDefined();
    expect(kept.keep('b', [0, 1], uhd)).toBeUndefined();
    kept.drop('a');
    expect(kept.keep('b', [0, 1], uhd)).toBeDefined();
    kept.drop('b');
  });
});

describe('the frames that a copy to be made will be compared by', () => {
  const made = (
    change: Partial<OutputRecipe> = {},
    require: PlannedOutput['require'] = { precision: { minBits: 8, severity: 'fail' } },
  ) => {
    const { facts, colour } = original;
    if (facts.video === null || colour === null) throw new Error('it has no picture');
    const picture = { video: facts.video, colour };
    const recipe = recipeAlike(picture, picture);
    if ('why' in recipe) throw new Error(recipe.why);
    return samplesToBe({ recipe: { ...recipe, ...change }, require }, facts.video, FRAMES);
  };

  it('are those that are chosen once it is there', () => {
    const bytes = WIDTH * HEIGHT * 4;
    expect(made()).toEqual(chooseFrames(FRAMES, { ofCopy: FRAMES, bytes, deinterlace: false }));
  });

  it('are none where nothing is asked, text is burnt in, or the rate is another', () => {
    const burnIn = { timecode: '10:00:00:00', clipName: null, reel: null, text: null };
    expect(made({}, {})).toBeNull();
    expect(made({ burnIn })).toBeNull();
    expect(made({ frameRate: '24/1' })).toBeNull();
  });
});
