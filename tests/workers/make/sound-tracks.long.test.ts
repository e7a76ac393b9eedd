import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { SoundChoice } from '../../../jobs/manifest/manifest.js';
import type { PlannedClip } from '../../../jobs/plan/plan.js';
import { planSound } from '../../../planner/sound/sound-tracks.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { Making } from './making.js';
import { codec, HD } from './recipes.js';

/**
 * One tone a channel, each at 0.1 of full scale and of its own frequency: what is heard on a side is told by
 * which tones are in it and at what level. 300 Hz times a whole number, over 1/3 s: the tones do not leak
 * into one another.
 */
const RATE = 48_000;
const SECONDS = 1;
const AMPLITUDE = 0.1;
const BASE = 300;
const HALF_POWER = Math.SQRT1_2;

let making: Making;
beforeAll(async () => {
  making = await Making.begin();
});
afterAll(() => making.end());

/**
 * A clip whose tracks have these channels, by layout (`mono`, `5.1`) or by number where no layout is stated.
 */
async function clipOf(name: string, tracks: readonly (string | number)[]): Promise<PlannedClip> {
  const path = join(making.folder, name);
  let tone = 0;
  const sounds = tracks.map((track) => {
    const channels = typeof track === 'number' ? track : { mono: 1, stereo: 2, '5.1': 6, '7.1': 8 }[track];
    const tones = Array.from({ length: channels ?? 0 }, () => {
      tone += 1;
      return `${AMPLITUDE}*sin(2*PI*${BASE * tone}*t)`;
    });
    const layout = typeof track === 'number' ? `${track}c` : track;
    return {
      path: `aevalsrc=${tones.join('|')}:s=${RATE}:d=${SECONDS}:c=${layout}`,
      options: ['-f', 'lavfi'],
    };
  });
  const result = await runFfmpeg({
    inputs: [{ path: `testsrc2=s=128x72:r=25:d=${SECONDS}`, options: ['-f', 'lavfi'] }, ...sounds],
    outputs: [
      {
        path,
        options: [
          ...['-map', '0:v', ...tracks.flatMap((_, index) => ['-map', `${index + 1}:a`])],
          ...['-c:v', 'libx264', '-pix_fmt', 'yuv420p', '-c:a', 'pcm_s24le'],
        ],
      },
    ],
  });
  expect(result.errors).toEqual([]);
  return { path, name, facts: await probeClip(path), colour: HD };
}

/** The tones on each side, by number, at their gain. */
async function heard(clip: PlannedClip, choice?: SoundChoice): Promise<readonly Map<number, number>[]> {
  const make = { codec: 'pcm_s24le', sampleRate: RATE, channels: 'stereo' } as const;
  const planned = planSound(clip.facts.audio, make, choice);
  if (!planned.ok) throw new Error(planned.reason);
  const video = codec('libx264', 'yuv420p');
  const made = await making.make({ video, frameRate: '25/1', audio: planned.audio }, clip);
  expect(made.audio).toMatchObject([{ channels: 2, layout: 'stereo' }]);
  const raw = `${made.path}.f32`;
  await runFfmpeg({
    inputs: [{ path: made.path, options: [] }],
    outputs: [{ path: raw, options: ['-map', '0:a', '-c:a', 'pcm_f32le', '-f', 'f32le'] }],
  });
  const bytes = await readFile(raw);
  const samples = new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
  expect(samples.length).toBe(2 * RATE * SECONDS);
  return [0, 1].map((side) => tonesOf(samples, side));
}

/** Amplitude of each tone by correlation with sine and cosine over a whole number of its periods. */
function tonesOf(samples: Float32Array, side: number): Map<number, number> {
  const found = new Map<number, number>();
  const [from, length] = [RATE / 4, RATE / 3];
  for (let tone = 1; tone <= 10; tone++) {
    let [sine, cosine] = [0, 0];
    for (let at = 0; at < length; at++) {
      const phase = (2 * Math.PI * BASE * tone * at) / RATE;
      const value = samples[2 * (from + at) + side] ?? 0;
      sine += value * Math.sin(phase);
      cosine += value * Math.cos(phase);
    }
    const gain = (2 * Math.hypot(sine, cosine)) / length / AMPLITUDE;
    if (gain > 1e-4) found.set(tone, gain);
  }
  return found;
}

/**
 * Gains of ITU-R BS.775-4, Annex 4, Table 2 (from memory), scaled so that full scale in every channel cannot
 * clip.
 */
const FOLD = 1 / (1 + 2 * HALF_POWER);
const FOLD_BOTH = 1 / (1 + 3 * HALF_POWER);

describe('what is heard of the tracks in two channels', () => {
  it.each<
    [string, (string | number)[], SoundChoice | undefined, Record<number, number>, Record<number, number>]
  >([
    ['one mono track: on both sides, at its level', ['mono'], undefined, { 1: 1 }, { 1: 1 }],
    ['two mono tracks: left and right', ['mono', 'mono'], undefined, { 1: 1 }, { 2: 1 }],
    ['four mono tracks: the first two', ['mono', 'mono', 'mono', 'mono'], undefined, { 1: 1 }, { 2: 1 }],
    ['the two that are named', ['mono', 'mono', 'mono', 'mono'], [4, 3], { 4: 1 }, { 3: 1 }],
    ['one that is named', ['mono', 'stereo'], [2], { 2: 1 }, { 3: 1 }],
    [
      'all mixed',
      ['mono', 'mono', 'mono', 'mono'],
      'mix',
      { 1: 0.25, 2: 0.25, 3: 0.25, 4: 0.25 },
      { 1: 0.25, 2: 0.25, 3: 0.25, 4: 0.25 },
    ],
    ['stereo and mono mixed', ['stereo', 'mono'], 'mix', { 1: 0.5, 3: 0.5 }, { 2: 0.5, 3: 0.5 }],
    ['stereo as it is', ['stereo', 'stereo'], undefined, { 1: 1 }, { 2: 1 }],
    // FL FR FC LFE BL BR.
    [
      '5.1 folded down',
      ['5.1'],
      undefined,
      { 1: FOLD, 3: FOLD * HALF_POWER, 5: FOLD * HALF_POWER },
      { 2: FOLD, 3: FOLD * HALF_POWER, 6: FOLD * HALF_POWER },
    ],
    // FL FR FC LFE BL BR SL SR: none is lost but LFE.
    [
      '7.1 folded down',
      ['7.1'],
      undefined,
      { 1: FOLD_BOTH, 3: FOLD_BOTH * HALF_POWER, 5: FOLD_BOTH * HALF_POWER, 7: FOLD_BOTH * HALF_POWER },
      { 2: FOLD_BOTH, 3: FOLD_BOTH * HALF_POWER, 6: FOLD_BOTH * HALF_POWER, 8: FOLD_BOTH * HALF_POWER },
    ],
    ['six without a layout: the first two', [6], undefined, { 1: 1 }, { 2: 1 }],
    [
      'six without a layout, mixed',
      [6],
      'mix',
      { 1: 1 / 6, 2: 1 / 6, 3: 1 / 6, 4: 1 / 6, 5: 1 / 6, 6: 1 / 6 },
      { 1: 1 / 6, 2: 1 / 6, 3: 1 / 6, 4: 1 / 6, 5: 1 / 6, 6: 1 / 6 },
    ],
  ])('%s', async (name, tracks, choice, left, right) => {
    const clip = await clipOf(
      // Matroska states no layout of PCM, MOV does.
      `${name.replaceAll(/[^a-z0-9]+/gi, '-')}.${tracks.some((track) => typeof track === 'number') ? 'mkv' : 'mov'}`,
      tracks,
    );
    const sides = await heard(clip, choice);
    [left, right].forEach((wanted, side) => {
      const found = sides[side] ?? new Map<number, number>();
      expect([...found.keys()].map(String)).toEqual(Object.keys(wanted));
      for (const [tone, gain] of found) expect(gain).toBeCloseTo(wanted[tone] ?? 0, 4);
    });
  });
});
