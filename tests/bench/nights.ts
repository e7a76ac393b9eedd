import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { z } from 'zod';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { plan as planSchema } from '../../jobs/plan/plan.js';
import { ffmpeg } from './bench-media.js';

const GOODGATE = new URL('../../dist/cli/main.js', import.meta.url).pathname;
const TARGETS = ['intermediate-422-10', 'proxy-h264'] as const;

/** Clips of a night differ in picture, noise, size, length, codec and sound. */
interface Shot {
  readonly source: string;
  readonly size: string;
  readonly seconds: number;
  readonly codec: readonly string[];
  readonly channels: number;
}

const SOURCES = [
  // Turning, textured; and moving edges on flat ground. Both with the noise of a sensor, weak to strong.
  (size: string, n: number) =>
    `mandelbrot=s=${size}:r=25:start_scale=${0.5 / (1 + (n % 5))}:end_scale=0.05:maxiter=800`,
  (size: string) => `testsrc2=s=${size}:r=25`,
];
const SIZES = ['320x180', '480x270', '640x360'];
const CODECS = [
  ['-c:v', 'prores_ks', '-profile:v', 'hq', '-q:v', '6', '-pix_fmt', 'yuv422p10le'],
  ['-c:v', 'ffv1', '-pix_fmt', 'yuv422p10le'],
  ['-c:v', 'mjpeg', '-q:v', '3', '-pix_fmt', 'yuvj422p', '-strict', '-1'],
];

/** The same numbers on every machine, in [0, 1): a linear congruence (Numerical Recipes, 1992, 7.1). */
function* numbers(seed: number): Generator<number, never> {
  for (let state = seed; ; ) {
    state = (state * 1_664_525 + 1_013_904_223) % 2 ** 32;
    yield state / 2 ** 32;
  }
}

function shotOf(random: Iterator<number, never>): Shot {
  const next = (): number => random.next().value;
  const of = <T>(all: readonly T[], fallback: T): T => all[Math.floor(next() * all.length)] ?? fallback;
  const size = of(SIZES, '480x270');
  const picture = of(SOURCES, SOURCES[0] ?? (() => ''))(size, Math.floor(next() * 100));
  const noise = 4 + Math.floor(next() * 7);
  return {
    source: `${picture},format=yuv422p10le,noise=alls=${noise}:allf=t:all_seed=${Math.floor(next() * 1e6)}`,
    size,
    seconds: 1 + next() * 3,
    codec: of(CODECS, []),
    channels: of([0, 1, 2], 0),
  };
}

function shoot(path: string, { source, seconds, codec, channels }: Shot): void {
  const sound = channels === 0 ? [] : ['-f', 'lavfi', '-i', 'sine=440:r=48000'];
  ffmpeg([
    ...['-f', 'lavfi', '-i', source, ...sound, '-t', seconds.toFixed(2), ...codec],
    ...(channels === 0 ? [] : ['-c:a', 'pcm_s24le', '-ac', String(channels)]),
    ...['-colorspace', 'bt709', '-color_primaries', 'bt709', '-color_trc', 'bt709', path],
  ]);
}

function goodgate(state: string, ...args: string[]): string {
  const ran = spawnSync('node', [GOODGATE, ...args], {
    ...{ encoding: 'utf8', maxBuffer: 64e6 },
    env: { ...process.env, GOODGATE_STATE: state, REDIS_URL: '' },
  });
  // A verdict may well be fail, a plan not fit: the figures are what is asked for.
  if (ran.stdout === '') throw new Error(`goodgate ${args[0]}: ${ran.stderr}`);
  return ran.stdout;
}

const document = <T>(schema: z.ZodType<T>, text: string): T => schema.parse(JSON.parse(text));

/**
 * Nights of mixed clips on a site that begins with none: what `plan` says before each, and what `run` came
 * to. Figures are quotients, came out over planned: 1 is right.
 */
export async function* nightsLines(nights: number, clips: number): AsyncGenerator<string> {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-nights-'));
  const state = join(folder, 'state');
  const random = numbers(7);
  const ten: number[][] = [];
  try {
    yield `${nights} nights of ${clips} mixed clips; came out / planned`;
    yield '  night  by clips   intermediates      proxies   seconds of work   seconds until done';
    for (let night = 1; night <= nights; night++) {
      const card = join(folder, `night-${night}`);
      mkdirSync(card);
      for (let n = 0; n < clips; n++) shoot(join(card, `C${n}.mov`), shotOf(random));
      const out = join(folder, `out-${night}`);
      const named = TARGETS.flatMap((target) => ['--target', target]);
      const planned = document(planSchema, goodgate(state, 'plan', card, '--out', out, ...named, '--json'));
      const began = performance.now();
      goodgate(state, 'run', card, '--out', out, ...named, '--json', '--quiet');
      const wall = (performance.now() - began) / 1000;
      const done = document(batchSchema, readFileSync(join(out, 'batch.json'), 'utf8'));
      const sizes = TARGETS.map((target) => {
        const came = done.clips.flatMap(({ items }) =>
          items.filter((item) => item.target === target && item.kind === 'output'),
        );
        const told = planned.jobs.flatMap(({ outputs }) =>
          outputs.filter((output) => output.target === target),
        );
        return (
          came.reduce((sum, { bytes }) => sum + (bytes ?? 0), 0) /
          told.reduce((sum, { estimate }) => sum + estimate.bytes, 0)
        );
      });
      const worked = done.clips.reduce((sum, { seconds }) => sum + (seconds ?? 0), 0);
      const times = [worked / planned.totals.workSeconds, wall / planned.totals.wallSeconds];
      const by = planned.jobs.flatMap(({ estimate }) => estimate.by ?? 0);
      const quotients = [...sizes, ...times];
      if ((night - 1) * clips >= 10) ten.push(quotients);
      yield `  ${String(night).padStart(5)}  ${String(Math.min(...by)).padStart(8)}   ${quotients.map((each, at) => each.toFixed(2).padStart([13, 11, 16, 19][at] ?? 9)).join('  ')}`;
      rmSync(card, { recursive: true });
      rmSync(out, { recursive: true });
    }
    for (const [at, name] of [
      'intermediates',
      'proxies',
      'seconds of work',
      'seconds until done',
    ].entries()) {
      const off = ten.map((quotients) => Math.abs((quotients[at] ?? 0) - 1));
      yield `  after ten clips ${name} were off by ${(100 * Math.max(...off)).toFixed(0)} % at most`;
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
