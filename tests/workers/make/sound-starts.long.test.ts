import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { PlannedClip } from '../../../jobs/plan/plan.js';
import type { MakeRecipe } from '../../../jobs/targets/target.js';
import { planSound } from '../../../planner/sound/sound-tracks.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { Making } from './making.js';
import { codec, HD } from './recipes.js';

const RATE = 48_000;
/** A frame of lossy coding smears an onset by less than this. */
const NEAR_SECONDS = 0.003;

let making: Making;
beforeAll(async () => {
  making = await Making.begin();
});
afterAll(() => making.end());

/** Two seconds of picture, and a tone from each of these times on, each on a mono track of its own. */
async function clipOf(starts: readonly number[]): Promise<PlannedClip> {
  const path = join(making.folder, `${starts.join('-')}.mov`);
  const result = await runFfmpeg({
    inputs: [
      { path: 'testsrc2=s=128x72:r=25:d=2', options: ['-f', 'lavfi'] },
      ...starts.map((start, i) => ({
        path: `aevalsrc=0.25*sin(2*PI*${500 * (i + 1)}*t):s=${RATE}:d=${2 - start}`,
        options: [...(start > 0 ? ['-itsoffset', String(start)] : []), '-f', 'lavfi'],
      })),
    ],
    outputs: [
      {
        path,
        options: [
          ...['-map', '0:v', ...starts.flatMap((_, i) => ['-map', `${i + 1}:a`])],
          ...['-c:v', 'ffv1', '-pix_fmt', 'yuv422p10le', '-c:a', 'pcm_s24le'],
        ],
      },
    ],
  });
  expect(result.errors).toEqual([]);
  return { path, name: 'clip.mov', facts: await probeClip(path), colour: HD };
}

/** When each channel of a track is heard first, in seconds after the start of the file. */
async function onsets(path: string, track: number, channels: number): Promise<number[]> {
  const raw = `${path}.${track}.f32`;
  await runFfmpeg({
    inputs: [{ path, options: [] }],
    outputs: [
      {
        path: raw,
        options: [
          ...['-map', `0:a:${track}`, '-filter:a', 'aresample=async=1:first_pts=0'],
          ...['-c:a', 'pcm_f32le', '-f', 'f32le'],
        ],
      },
    ],
  });
  const bytes = await readFile(raw);
  const samples = new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
  return Array.from({ length: channels }, (_, channel) => {
    let at = 0;
    while (at * channels < samples.length && Math.abs(samples[at * channels + channel] ?? 0) < 0.05) at++;
    return at / RATE;
  });
}

describe('two tracks of sound that start apart', () => {
  const KINDS: readonly (readonly [string, Parameters<Making['make']>[0], MakeRecipe['audio']])[] = [
    [
      'archive',
      { container: 'mkv', video: codec('ffv1', 'yuv422p10le') },
      { codec: 'flac', channels: 'source' },
    ],
    ['intermediate', { container: 'mov' }, { codec: 'pcm_s24le', channels: 'source' }],
    [
      'proxy',
      { container: 'mp4', video: codec('libx264', 'yuv420p') },
      { codec: 'aac', sampleRate: RATE, bitRate: 192_000, channels: 'stereo' },
    ],
  ];
  const cases = [
    [0, 0.5],
    [0.25, 0],
    [0.3, 0.7],
  ].flatMap((starts) => KINDS.map(([kind, recipe, audio]) => ({ kind, starts, recipe, audio })));

  it.each(cases)('$starts s after the picture, in an $kind', async ({ kind, starts, recipe, audio }) => {
    const clip = await clipOf(starts);
    const sound = planSound(clip.facts.audio, audio, undefined);
    if (!sound.ok) throw new Error(sound.reason);
    const made = await making.make({ ...recipe, frameRate: '25/1', audio: sound.audio }, clip);
    const found =
      kind === 'proxy'
        ? await onsets(made.path, 0, 2)
        : [...(await onsets(made.path, 0, 1)), ...(await onsets(made.path, 1, 1))];
    expect(found).toHaveLength(2);
    found.forEach((onset, i) => {
      expect(Math.abs(onset - (starts[i] ?? 0))).toBeLessThan(NEAR_SECONDS);
    });
  });
});
