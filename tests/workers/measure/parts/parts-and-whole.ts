import { readFile, writeFile } from 'node:fs/promises';
import { execa } from 'execa';
import { expect } from 'vitest';
import type { MeasuredFigures } from '../../../../jobs/measurement/measurement.js';
import type { FrameFigures } from '../../../../workers/measure/figures/frame-table.js';
import { frameTableCsv } from '../../../../workers/measure/figures/frame-table.js';
import { measureFile } from '../../../../workers/measure/measure-file.js';
import {
  divideFile,
  isUndivided,
  pictureMemory,
  type Undivided,
} from '../../../../workers/measure/parts/divide.js';
import { measureInParts } from '../../../../workers/measure/parts/measure-in-parts.js';
import { rangesBetween } from '../../../../workers/measure/parts/part-ranges.js';
import { probeClip } from '../../../../workers/probe/probe-clip.js';
import { writeKnownClip } from '../../../media/known-clip.js';
import { PROGRAMME_FRAMES, programmeFrame } from './programme.js';

const WIDTH = 64;
const HEIGHT = 36;
const TONE = 'sine=frequency=997:sample_rate=48000';

export async function ffmpeg(...args: readonly string[]): Promise<void> {
  await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args]);
}

/** The programme at `path`, losslessly, with two streams of sound. */
export async function writeProgramme(
  path: string,
  options: {
    readonly rate?: string;
    readonly frames?: readonly number[];
    readonly transfer?: string;
    readonly encode?: readonly string[];
    readonly sound?: boolean;
  } = {},
): Promise<string> {
  const rate = options.rate ?? '5';
  const frames = options.frames ?? Array.from({ length: PROGRAMME_FRAMES }, (_, frame) => frame);
  const [num = 5, den = 1] = rate.split('/').map(Number);
  const seconds = (frames.length * den) / num;
  const isPq = options.transfer === 'smpte2084';
  await writeKnownClip(path, {
    ...{ width: WIDTH, height: HEIGHT, pixelFormat: 'yuv422p10le', rate },
    frames: frames.map((frame) => programmeFrame(frame, WIDTH, HEIGHT)),
    colour: {
      primaries: isPq ? 'bt2020' : 'bt709',
      transfer: options.transfer ?? 'bt709',
      matrix: isPq ? 'bt2020nc' : 'bt709',
      range: 'tv',
    },
    encode: options.encode ?? [
      '-c:v',
      'ffv1',
      '-level',
      '3',
      '-g',
      '1',
      '-slicecrc',
      '1',
      '-c:a',
      'pcm_s24le',
    ],
    sound:
      options.sound === false ? [] : [`${TONE}:duration=${seconds}`, `sine=frequency=60:duration=${seconds}`],
    ...(path.endsWith('.mov') ? { timecode: '00:00:59:00' } : {}),
  });
  return path;
}

interface Measured {
  readonly whole: MeasuredFigures;
  readonly parts: MeasuredFigures | Undivided;
  readonly tables: readonly [string, string];
}

/** In one go, and in parts cut at these frames. */
async function measureBoth(file: string, seams: readonly number[]): Promise<Measured> {
  const facts = await probeClip(file, {});
  const division = divideFile(facts, null, { here: 2, elsewhere: 0, leastFrames: 1 });
  if (isUndivided(division)) throw new Error(division.reason);
  const memory = pictureMemory(division.video, null, division.rate) ?? 0;
  const tables: string[] = [];
  const onFrameFigures = (figures: FrameFigures): void => {
    tables.push([...frameTableCsv(figures)].join(''));
  };
  const method = { ffmpeg: 'this one', goodgate: 'this one' };
  const {
    schema,
    key,
    file: _,
    ...whole
  } = await measureFile(file, {
    ...{ facts, onFrameFigures, ffmpegVersion: method.ffmpeg, version: method.goodgate },
  });
  const end = facts.video?.frames ?? 0;
  const parts = await measureInParts(
    { ...division, ranges: rangesBetween([0, ...seams, end], memory) },
    { path: file, facts, colour: null, method, onFrameFigures },
  );
  return { whole, parts, tables: [tables[0] ?? '', tables[1] ?? ''] };
}

/** The figures of a file that are the same in one go and in parts. */
export async function expectSame(file: string, seams: readonly number[]): Promise<MeasuredFigures> {
  const { whole, parts, tables } = await measureBoth(file, seams);
  expect(parts).toEqual(whole);
  expect(tables[1]).toBe(tables[0]);
  expect(tables[0].length).toBeGreaterThan(0);
  return whole;
}

/** Why a file cannot be measured in two parts, or null where it was. */
export async function whyWhole(file: string, signal?: AbortSignal): Promise<string | null> {
  const facts = await probeClip(file, {});
  // Parts have to find out by themselves what a header may not tell.
  const video = facts.video && { ...facts.video, constantRate: null };
  const division = divideFile({ ...facts, video }, null, { here: 2, elsewhere: 0, leastFrames: 1 });
  if (isUndivided(division)) return division.reason;
  const method = { ffmpeg: 'x', goodgate: 'x' };
  const answer = await measureInParts(division, { path: file, facts, colour: null, method, signal });
  return isUndivided(answer) ? answer.reason : null;
}

/** A copy of a file, zeros in it from a part of it on. */
export async function overwritten(file: string, to: string, from: number, bytes: number): Promise<string> {
  const copy = await readFile(file);
  copy.fill(0, Math.floor(copy.length * from), Math.floor(copy.length * from) + bytes);
  await writeFile(to, copy);
  return to;
}
