import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fixed } from '../../jobs/words/numbers.js';
import { bitsKept } from '../../signal/precision.js';
import { ffmpeg } from './bench-media.js';
import {
  AAC_WAYS,
  ENCODER_STUDIES,
  type EncoderStudy,
  type EncoderWay,
  STUDY_PICTURES,
} from './encoder-ways.js';
import { timed } from './timed-program.js';

const FRAMES = 16;
const MEGAPIXELS = (FRAMES * 960 * 540) / 1e6;
/** Constant quality is tried so far to either side, too: half an octave of size. */
const CRF_STEPS = [-3, 0, 3];

/** What one way made of one picture. */
interface Trial {
  /** Processor time without reading the picture, s. */
  readonly processor: number;
  readonly bitsPerPixel: number;
  /** Of each plane, dB; infinite where every sample is the same. */
  readonly psnr: { readonly planes: readonly number[]; readonly average: number };
}

/**
 * The table of encoders of docs/encoders.md: processor time, size, PSNR and bits kept of every way to call
 * every encoder, on pictures of several kinds. Each picture lies in a file as raw samples, whose reading is
 * taken off the time.
 *
 * @param only the encoder to try; undefined: all
 */
export async function* encoderLines(only: string | undefined): AsyncGenerator<string> {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-encoders-'));
  try {
    for (const study of ENCODER_STUDIES) {
      if (only === undefined || only === study.encoder) yield* studyLines(study, folder);
    }
    if (only === undefined || only === 'AAC') yield* soundLines(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function* studyLines(study: EncoderStudy, folder: string): Generator<string> {
  yield `| ${study.encoder}, \`${study.pixelFormat}\` | ms a megapixel | ${STUDY_PICTURES.map(({ name }) => name).join(' | ')} |`;
  yield `| --- | --- | ${STUDY_PICTURES.map(() => '---').join(' | ')} |`;
  const raws = STUDY_PICTURES.map(({ graph }, at) => drawn(graph, study, join(folder, `${at}.nut`)));
  const first: Trial[] = [];
  for (const way of study.ways) {
    let processor = 0;
    const cells: string[] = [];
    for (const [at, raw] of raws.entries()) {
      const reference = first[at];
      const isHeld = study.crf !== null && reference !== undefined;
      const { crf } = study;
      const crfs = isHeld && crf !== null ? CRF_STEPS.map((step) => crf + step) : [crf];
      const trials = crfs.map((each) => trial(study, way, each, raw, folder));
      processor += trials.reduce((sum, each) => sum + each.processor, 0) / trials.length / raws.length;
      const [made] = trials;
      if (made === undefined) continue;
      if (reference === undefined) first.push(made);
      cells.push(
        isHeld
          ? `${signed(psnrAt(reference.bitsPerPixel, trials) - reference.psnr.average)} dB at its size`
          : cellOf(made, study.depth),
      );
    }
    yield `| ${way.name} | ${fixed((1000 * processor) / MEGAPIXELS, 0)} | ${cells.join(' | ')} |`;
  }
  yield '';
}

/** Draws a picture as raw samples; reading it takes `reading` seconds of processor time. */
function drawn(
  graph: string,
  { pixelFormat }: EncoderStudy,
  path: string,
): { path: string; reading: number } {
  ffmpeg([
    ...['-f', 'lavfi', '-i', graph, '-frames:v', String(FRAMES)],
    ...[
      '-vf',
      `scale=flags=bicubic+accurate_rnd:in_color_matrix=bt709,format=${pixelFormat}`,
      '-c:v',
      'rawvideo',
      '-f',
      'nut',
      path,
    ],
  ]);
  const { processor } = timed('ffmpeg', ['-nostdin', '-v', 'error', '-i', path, '-f', 'null', '-']);
  return { path, reading: processor };
}

function trial(
  { container }: EncoderStudy,
  { options }: EncoderWay,
  crf: number | null,
  raw: { path: string; reading: number },
  folder: string,
): Trial {
  const path = join(folder, `copy.${container}`);
  const quality = crf === null ? [] : ['-crf', String(crf)];
  const call = ['-nostdin', '-v', 'error', '-y', '-i', raw.path, ...options, ...quality, path];
  const { processor } = timed('ffmpeg', call);
  return {
    processor: Math.max(0, processor - raw.reading),
    bitsPerPixel: (8 * statSync(path).size) / (1e6 * MEGAPIXELS),
    psnr: psnrOf(path, raw.path),
  };
}

function psnrOf(copy: string, original: string): Trial['psnr'] {
  const { stderr } = spawnSync(
    'ffmpeg',
    ['-nostdin', '-hide_banner', '-i', copy, '-i', original, '-lavfi', 'psnr', '-f', 'null', '-'],
    { encoding: 'utf8' },
  );
  const figures = /PSNR (\S+) (\S+) (\S+) average:(\S+)/.exec(stderr)?.slice(1);
  if (figures === undefined) throw new Error(`no PSNR of ${copy}: ${stderr.slice(-500)}`);
  const [a = 0, b = 0, c = 0, average = 0] = figures.map((figure) => {
    const value = figure.split(':').at(-1);
    return value === 'inf' ? Number.POSITIVE_INFINITY : Number(value);
  });
  return { planes: [a, b, c], average };
}

/**
 * PSNR that a way has at another size: straight over the logarithm of the size, between the two trials
 * beside it.
 *
 * @param trials from fine to coarse, at least two
 */
function psnrAt(bitsPerPixel: number, trials: readonly Trial[]): number {
  const beyond = trials.findIndex((each, index) => index > 0 && each.bitsPerPixel <= bitsPerPixel);
  const at = beyond < 0 ? trials.length - 1 : beyond;
  const [finer, coarser] = [trials[at - 1], trials[at]];
  if (finer === undefined || coarser === undefined) throw new RangeError('at least two trials');
  const [a, b] = [Math.log(coarser.bitsPerPixel), Math.log(finer.bitsPerPixel)];
  const slope = (finer.psnr.average - coarser.psnr.average) / (b - a);
  return coarser.psnr.average + slope * (Math.log(bitsPerPixel) - a);
}

function cellOf({ bitsPerPixel, psnr }: Trial, depth: number): string {
  const size = `${fixed(bitsPerPixel, 2)} bit/px`;
  if (psnr.average === Number.POSITIVE_INFINITY) return size;
  const most = 2 ** depth - 1;
  const kept = Math.min(...psnr.planes.map((plane) => bitsKept(most ** 2 / 10 ** (plane / 10), depth)));
  return `${size}, ${fixed(psnr.average, 1)} dB, ${fixed(kept, 1)} bits`;
}

function signed(value: number): string {
  return `${value < 0 ? '-' : '+'}${fixed(Math.abs(value), 2)}`;
}

/** Ten seconds of stereo: chords that change, noise and clicks; the ratio of sound to error, dB. */
function* soundLines(folder: string): Generator<string> {
  const seconds = 10;
  const sound = join(folder, 'sound.wav');
  const left = '0.2*sin(220*2*PI*t)+0.1*sin(331*2*PI*t*(1+floor(t)/8))+0.05*(random(0)-0.5)';
  const right = '0.2*sin(277*2*PI*t)+0.2*exp(-40*mod(t,0.5))*(random(1)-0.5)';
  ffmpeg([
    ...['-f', 'lavfi', '-i', `aevalsrc='${left}|${right}':s=48000:d=${seconds}`],
    ...['-c:a', 'pcm_s24le', sound],
  ]);
  const quiet = ['-nostdin', '-v', 'error', '-y', '-i', sound];
  const reading = timed('ffmpeg', [...quiet, '-f', 'null', '-']).processor;
  yield '| AAC, 160 kbit/s, stereo | ms a second | kbit/s | sound over error, left and right |';
  yield '| --- | --- | --- | --- |';
  for (const { name, options } of AAC_WAYS) {
    const copy = join(folder, 'sound.m4a');
    const { processor } = timed('ffmpeg', [...quiet, ...options, copy]);
    const { stderr } = spawnSync(
      'ffmpeg',
      ['-nostdin', '-hide_banner', '-i', sound, '-i', copy, '-lavfi', 'asdr', '-f', 'null', '-'],
      { encoding: 'utf8' },
    );
    const ratios = [...stderr.matchAll(/SDR ch\d+: (\S+) dB/g)].map(([, ratio]) => fixed(Number(ratio), 1));
    const rate = (8 * statSync(copy).size) / seconds / 1000;
    yield `| ${name} | ${fixed((1000 * Math.max(0, processor - reading)) / seconds, 1)} | ${fixed(rate, 0)} | ${ratios.join(' and ')} dB |`;
  }
}
