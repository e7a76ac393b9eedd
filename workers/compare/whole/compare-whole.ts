import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Comparison, WholePlane } from '../../../jobs/comparison/comparison.js';
import { GoodgateError } from '../../../jobs/errors.js';
import { escapeFilterValue } from '../../ffmpeg/escape.js';
import { faultError, ffmpegFault } from '../../ffmpeg/fault.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import { pictureChain } from '../../make/picture-chain.js';
import { requireAllFrames } from '../../measure/decoding/silent-end.js';
import { frameClock } from '../../measure/figures/frame-ranges.js';
import { isKnown, rangeFilter, sampleLayout } from '../../measure/picture/plan/sample-layout.js';
import type { ComparedFile } from '../compare-pictures.js';
import type { Reference, TakeOptions } from '../sampling/take-samples.js';
import { type FrameStatistics, readPsnr, readSsim } from './filter-statistics.js';
import { framesApart } from './frames-apart.js';

export interface WholeOptions extends TakeOptions {
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

const STALL_MS = 120_000;

/**
 * Decodes both files once and compares frame n with frame n by ffmpeg's filters `psnr` and `ssim`, the
 * original taken through the chain that made the copy.
 *
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `missing-tool`, `interrupted`.
 */
export async function compareWhole(
  original: ComparedFile,
  copy: ComparedFile,
  reference: Reference,
  options: WholeOptions,
): Promise<NonNullable<Comparison['whole']>> {
  const lists = {
    original: join(options.scratch, 'original.list'),
    copy: join(options.scratch, 'copy.list'),
  };
  const statistics = {
    psnr: join(options.scratch, 'psnr.log'),
    ssim: join(options.scratch, 'ssim.log'),
    coarse: join(options.scratch, 'coarse.log'),
  };
  const graph = wholeGraph(original, copy, reference, statistics);
  const list = (label: string, path: string) => ({
    path,
    options: ['-map', label, '-fps_mode', 'passthrough', '-c:v', 'rawvideo', '-f', 'framecrc'],
  });
  const { signal, tools } = options;
  const seconds = original.facts.video?.durationSeconds ?? null;
  const result = await runFfmpeg(
    {
      inputs: [original, copy].map(({ path, facts }) => ({
        ...{ path, rate: facts.video?.frameRate },
        options: ['-noautorotate'],
      })),
      outputs: [
        {
          ...list('[countOriginal]', lists.original),
          options: ['-filter_complex', graph, ...list('[countOriginal]', '').options],
        },
        list('[countCopy]', lists.copy),
        {
          path: '/dev/null',
          options: ['-map', '[compared]', '-fps_mode', 'passthrough', '-f', 'null'],
        },
      ],
    },
    {
      ...{ tools, signal, stallTimeoutMs: STALL_MS },
      onProgress: ({ seconds: at }) => {
        if (seconds !== null && seconds > 0) options.onProgress?.(Math.min(1, Math.max(0, at / seconds)));
      },
    },
  );
  if (result.killedBy === 'abort') {
    throw new GoodgateError('interrupted', { what: 'the work was interrupted', where: copy.path });
  }
  const fault = ffmpegFault(result);
  if (fault !== null) throw faultError('ffmpeg', fault, `${original.path}, ${copy.path}`);
  const frames = { original: await countLines(lists.original), copy: await countLines(lists.copy) };
  if (result.errorCount === 0)
    await requireBothWhole([original, copy], [frames.original, frames.copy], options);
  const [psnr, ssim, coarse] = await Promise.all([
    readFile(statistics.psnr, 'utf8').then(readPsnr),
    readFile(statistics.ssim, 'utf8').then(readSsim),
    readFile(statistics.coarse, 'utf8').then(readPsnr),
  ]);
  const clock = frameClock(original.facts.container.startTimecode, original.facts.video?.frameRate ?? null);
  const depth = reference.recipe.video.bitDepth;
  const planes = planesOf(psnr, ssim, depth, clock.timecode);
  const { apart, doubtful } = framesApart({ psnr, ssim, coarse }, depth);
  const unlike = [...apart, ...doubtful].toSorted((a, b) => a.from - b.from);
  return {
    frames: Math.min(frames.original, frames.copy),
    planes,
    unlike: unlike.map(({ from, to }) => clock.range(from, to)),
  };
}

/** Fewer frames than a file declares, or than the other has, are looked up: ffmpeg may have stopped early. */
async function requireBothWhole(
  files: readonly ComparedFile[],
  frames: readonly number[],
  { tools, signal }: WholeOptions,
): Promise<void> {
  for (const [index, { path, facts }] of files.entries()) {
    const got = frames[index] ?? 0;
    if (facts.video === null || got >= Math.max(facts.video.frames ?? 0, ...frames)) continue;
    await requireAllFrames(path, { stream: facts.video.stream, frames: got }, { tools, signal });
  }
}

/** Frames are put in step by their number: both files begin with the frame that is presented first. */
const IN_STEP = 'settb=1/1000000,setpts=N*40000';
/** A corner of every frame, to count them by. */
const CORNER = 'crop=w=2:h=2:x=0:y=0';

/** A sixteenth of the picture each way, at least two samples: means of what they stand for. */
const MEANS = `scale=w='max(2,ceil(iw/16))':h='max(2,ceil(ih/16))':flags=area`;

function wholeGraph(
  original: ComparedFile,
  copy: ComparedFile,
  reference: Reference,
  { psnr, ssim, coarse }: { readonly psnr: string; readonly ssim: string; readonly coarse: string },
): string {
  const [had, is] = [original.facts.video?.stream ?? 0, copy.facts.video?.stream ?? 0];
  const { video, recipe, baked } = reference;
  const still = { ...video, steady: undefined, frameRate: '25/1' };
  const { filters } = pictureChain(still, { ...recipe, frameRate: '25/1' }, baked, null);
  const layout = sampleLayout(copy.facts.video?.pixelFormat ?? '');
  const own = isKnown(layout) ? [rangeFilter(layout), `format=${recipe.video.pixelFormat}`] : [];
  // What the codes mean is settled: both sides say the same, so that no filter converts.
  const plain = 'setparams=range=unknown:color_primaries=unknown:color_trc=unknown:colorspace=unknown';
  return [
    `[0:${had}]${IN_STEP},split[had][corner0]`,
    `[1:${is}]${IN_STEP},split[is][corner1]`,
    `[corner0]${CORNER}[countOriginal]`,
    `[corner1]${CORNER}[countCopy]`,
    `[had]${[...filters, plain].join(',')},settb=1/1000000,setpts=N*40000,split=3[had0][had1][had2]`,
    `[is]${[...own, plain].join(',')},setsar=1,split=3[is0][is1][is2]`,
    `[is0][had0]psnr=stats_file=${escapeFilterValue(psnr)}:shortest=1[byPsnr]`,
    '[byPsnr]nullsink',
    `[had2]${MEANS}[had3]`,
    `[is2]${MEANS}[is3]`,
    `[is3][had3]psnr=stats_file=${escapeFilterValue(coarse)}:shortest=1[byMeans]`,
    '[byMeans]nullsink',
    `[is1][had1]ssim=stats_file=${escapeFilterValue(ssim)}:shortest=1[compared]`,
  ].join(';');
}

/** Lines of a list by `framecrc` that are frames. */
async function countLines(path: string): Promise<number> {
  const text = await readFile(path, 'utf8');
  return text.split('\n').filter((line) => line.trim() !== '' && !line.startsWith('#')).length;
}

const NAMES: Readonly<Record<string, WholePlane['plane']>> = {
  y: 'Y',
  u: 'Cb',
  v: 'Cr',
  r: 'R',
  g: 'G',
  b: 'B',
};

/** Figures of each plane, from those of its frames. Pure. */
export function planesOf(
  psnr: FrameStatistics,
  ssim: FrameStatistics,
  depth: number,
  timecode: (frame: number) => string | null,
): WholePlane[] {
  const peak = 2 ** depth - 1;
  const decibels = (mse: number): number => 10 * Math.log10(peak ** 2 / mse);
  return [...psnr].flatMap(([name, errors]): WholePlane[] => {
    const plane = NAMES[name];
    const likeness = ssim.get(name) ?? [];
    if (plane === undefined || errors.length === 0 || likeness.length === 0) return [];
    const [worstError, least] = [extreme(errors, (a, b) => a > b), extreme(likeness, (a, b) => a < b)];
    const mse = mean(errors);
    const at = (frame: number, value: number) => ({ frame, timecode: timecode(frame), value });
    return [
      {
        plane,
        psnr: mse === 0 ? null : decibels(mse),
        worstPsnr: mse === 0 ? null : at(worstError, decibels(errors[worstError] ?? mse)),
        ssim: mean(likeness),
        worstSsim: at(least, likeness[least] ?? 0),
      },
    ];
  });
}

/** Index of the value that is before all others. */
function extreme(values: readonly number[], isBefore: (a: number, b: number) => boolean): number {
  let found = 0;
  for (const [index, value] of values.entries()) if (isBefore(value, values[found] ?? value)) found = index;
  return found;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
