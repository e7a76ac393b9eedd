import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { compareAllSound } from '../../../workers/compare/sound/compare-all-sound.js';
import { fileState } from '../../../workers/file/file-state.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { bext, waveFile } from '../../media/wave.js';

/** Copies that are drawn here, sample by sample, and not made by goodgate. */
const RATE = 48_000;
const SAMPLES = 2 * RATE;
const FROM = 70_000;
const folder = await temporaryFolder();
const at = (name: string): string => join(folder.path, name);
afterAll(folder.remove);

/** Noise from a seed; of one seed always the same. */
function noise(samples: number, seed: number): Int16Array {
  let state = seed;
  return Int16Array.from({ length: samples }, () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.round((state / 2 ** 32 - 0.5) * 20_000);
  });
}

const apart = noise(5 * RATE, 1);

async function draw(name: string, sound: Int16Array, codec: readonly string[] = ['-c:a', 'pcm_s16le']) {
  await writeFile(at('own.wav'), waveFile([], [], { sound }));
  await execa('ffmpeg', [
    ...['-v', 'error', '-y', '-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=2', '-i', at('own.wav')],
    ...['-c:v', 'libx264', '-pix_fmt', 'yuv420p', ...codec, at(name)],
  ]);
}

async function held(copy: string, changes: Partial<{ from: number; stereo: boolean }> = {}) {
  const path = at('apart.wav');
  const { audio } = await probeClip(path);
  const from = changes.from ?? FROM;
  const laid = {
    ...{ path, name: 'apart.wav', ...(await fileState(path)), audio, sampleRate: RATE, from },
    ...{ samples: SAMPLES, covers: { from: Math.max(0, -from), to: Math.min(SAMPLES, apart.length - from) } },
  };
  const both = [{ stream: 0, left: [1], right: [1] }];
  const recipe: OutputRecipe['audio'] = {
    ...{ codec: 'pcm_s24le', sampleRate: null, bitRate: null, chosen: false, laid: [laid] },
    ...(changes.stereo === true ? { streams: [], stereo: both } : { streams: [0], stereo: null }),
  };
  return compared(copy, recipe);
}

async function compared(copy: string, recipe: OutputRecipe['audio']) {
  const original = { path: at('clip.mov'), facts: await probeClip(at('clip.mov')) };
  const { found, unknown } = await compareAllSound(
    original,
    { path: at(copy), facts: await probeClip(at(copy)) },
    recipe,
    {},
  );
  return { mistakes: found.flatMap(({ mistakes }) => mistakes.map(({ name }) => name)), unknown, found };
}

beforeAll(async () => {
  await writeFile(at('apart.wav'), waveFile([bext(0)], [], { sound: apart }));
  await draw('clip.mov', noise(SAMPLES, 2));
}, 60_000);

it.each([
  ['the stretch of the clip', FROM],
  ['a stretch from after the first second', FROM + RATE],
  ['one with silence first', -20_000],
  ['one whose end is silence', apart.length - RATE],
])('%s is the sound that was laid', async (_, from) => {
  const sound = Int16Array.from({ length: SAMPLES }, (_, index) => apart[index + from] ?? 0);
  await draw('copy.mov', sound);
  expect(await held('copy.mov', { from })).toMatchObject({
    ...{ mistakes: [], unknown: [] },
    found: [{ offsetSamples: 0 }],
  });
});

it('a sample early, the sound of the clip, a muted stretch and silence are none of it', async () => {
  await draw('late.mov', apart.slice(FROM + 1, FROM + 1 + SAMPLES));
  expect((await held('late.mov')).mistakes).toEqual(['offset']);
  expect((await held('clip.mov')).mistakes).toEqual(['other-sound']);
  await draw('muted.mov', apart.slice(FROM, FROM + SAMPLES).fill(0, RATE, RATE + 14_400));
  expect((await held('muted.mov')).mistakes).toEqual(['muted']);
  await draw('silent.mov', new Int16Array(SAMPLES));
  const silent = await held('silent.mov');
  expect(silent.mistakes.length + silent.unknown.length).toBeGreaterThan(0);
});

it('as both sides of a lossy copy', async () => {
  const aac = ['-c:a', 'aac', '-b:a', '192k', '-af', 'pan=stereo|c0=c0|c1=c0'];
  await draw('proxy.mp4', apart.slice(FROM, FROM + SAMPLES), aac);
  expect(await held('proxy.mp4', { stereo: true })).toMatchObject({ unknown: [], mistakes: [] });
  await draw('own.mp4', noise(SAMPLES, 2), aac);
  expect((await held('own.mp4', { stereo: true })).mistakes).toEqual(['other-sound']);
});

/** Two files of one track each, that begin at different times, as left and right. */
async function heldBySide(copy: string) {
  const files = [];
  for (const [name, from] of [['apart.wav', FROM] as const, ['other.wav', -20_000] as const]) {
    const { audio } = await probeClip(at(name));
    const covers = { from: Math.max(0, -from), to: SAMPLES };
    const state = await fileState(at(name));
    files.push({ path: at(name), name, ...state, audio, sampleRate: RATE, from, samples: SAMPLES, covers });
  }
  return compared(copy, {
    ...{ codec: 'pcm_s24le', sampleRate: null, bitRate: null, chosen: false, streams: [], laid: files },
    stereo: [
      { stream: 0, left: [1], right: [0] },
      { stream: 1, left: [0], right: [1] },
    ],
  });
}

it('two mono files are held each against its side, to the sample', async () => {
  const other = noise(5 * RATE, 3);
  await writeFile(at('other.wav'), waveFile([bext(0)], [], { sound: other }));
  const left = apart.slice(FROM, FROM + SAMPLES);
  const right = Int16Array.from({ length: SAMPLES }, (_, index) => other[index - 20_000] ?? 0);
  const joined = async (name: string, sides: readonly Int16Array[], codec: readonly string[]) => {
    const [one = left, two = right] = sides;
    await writeFile(at('one.wav'), waveFile([], [], { sound: one }));
    await writeFile(at('two.wav'), waveFile([], [], { sound: two }));
    await execa('ffmpeg', [
      ...['-v', 'error', '-y', '-i', at('clip.mov'), '-i', at('one.wav'), '-i', at('two.wav')],
      ...['-filter_complex', '[1:a][2:a]join=inputs=2:channel_layout=stereo[a]'],
      ...['-map', '0:v', '-map', '[a]', '-c:v', 'copy', ...codec, at(name)],
    ]);
  };
  const pcm = ['-c:a', 'pcm_s16le'];
  await joined('sides.mov', [left, right], pcm);
  const sides = await heldBySide('sides.mov');
  expect(sides).toMatchObject({ mistakes: [], unknown: [] });
  expect(sides.found.map(({ side, offsetSamples }) => [side, offsetSamples])).toEqual([
    ['left', 0],
    ['right', 0],
  ]);
  await joined('sides.mp4', [left, right], ['-c:a', 'aac', '-b:a', '256k']);
  expect(await heldBySide('sides.mp4')).toMatchObject({ mistakes: [], unknown: [] });
  await joined('exchanged.mov', [right, left], pcm);
  expect((await heldBySide('exchanged.mov')).mistakes).toEqual(['other-sound', 'other-sound']);
  // Only the right one is late, by a sample.
  await joined('late-right.mov', [left, Int16Array.from(right, (_, index) => right[index - 1] ?? 0)], pcm);
  const late = await heldBySide('late-right.mov');
  expect(late.mistakes).toEqual(['offset']);
  expect(late.found.find(({ mistakes }) => mistakes.length > 0)).toMatchObject({
    ...{ side: 'right', offsetSamples: 1 },
  });
}, 180_000);
