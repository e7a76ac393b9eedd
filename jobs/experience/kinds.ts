import type { PlannedJob, PlannedOutput } from '../plan/plan.js';
import { clipMegapixels, MEASURED_MEGAPIXELS_PER_CORE_SECOND, modelPlanned } from './modelled.js';

/** A figure reckoned of a piece of work, and the kind of work it is of. */
export interface Reckoned {
  readonly kind: string;
  readonly reckoned: number;
}

/** Up to so many pixels a frame, by the usual rasters: work of one class is alike. */
const RASTERS: readonly (readonly [string, number])[] = [
  ['small', 400 * 300],
  ['sd', 720 * 576],
  ['hd720', 1280 * 720],
  ['hd', 2048 * 1152],
  ['uhd', 4096 * 2304],
];

function rasterClass({ width, height }: { readonly width: number; readonly height: number }): string {
  return RASTERS.find(([, pixels]) => width * height <= pixels)?.[0] ?? 'larger';
}

/** Names from files and recipes, as kinds may hold them. */
function word(text: string | number | null): string {
  return String(text ?? 'none')
    .replace(/[^\w.+-]/g, '-')
    .slice(0, 60)
    .padEnd(1, '-');
}

function outputKind({ recipe: { video, raster, burnIn } }: PlannedOutput): string {
  const { encoder, profile, chroma, bitDepth, lossless, crf, maxBitRate } = video;
  const quality = lossless ? 'lossless' : `q${crf ?? 'usual'}-${maxBitRate ?? 'free'}`;
  return [
    encoder,
    profile,
    chroma,
    bitDepth,
    quality,
    rasterClass(raster),
    burnIn === null ? 'plain' : 'drawn',
  ]
    .map(word)
    .join('|');
}

/** Bytes of the picture of an output. Its sound is reckoned exactly, or has a fixed rate. */
export function sizeOf(output: PlannedOutput, clip: PlannedJob['clip']): Reckoned {
  return { kind: `size|${outputKind(output)}`, reckoned: modelPlanned(output, clip).pictureBytes };
}

/**
 * Seconds of the one decode that makes outputs and measures the clip, as of one core. What is decoded and
 * what is made of it are one kind, since they are one process.
 */
export function makingOf(outputs: readonly PlannedOutput[], clip: PlannedJob['clip']): Reckoned {
  const { video } = clip.facts;
  const from = [video?.codec ?? 'none', video === null ? 'none' : rasterClass(video)].map(word).join('|');
  const reckoned = outputs.reduce(
    (sum, output) => sum + modelPlanned(output, clip).coreSeconds,
    clipMegapixels(clip) / MEASURED_MEGAPIXELS_PER_CORE_SECOND,
  );
  const made = outputs.map(({ recipe }) => `${recipe.video.encoder}-${rasterClass(recipe.raster)}`).sort();
  return { kind: ['make', from, ...made.slice(0, 8).map(word)].join('|'), reckoned };
}

/** Seconds of measuring an output, as of one core. */
export function measuringOf(output: PlannedOutput, clip: PlannedJob['clip']): Reckoned {
  const { video, raster } = output.recipe;
  const kind = `measure|${word(video.encoder)}|${rasterClass(raster)}`;
  return { kind, reckoned: modelPlanned(output, clip).megapixels / MEASURED_MEGAPIXELS_PER_CORE_SECOND };
}

/** Seconds of a whole job, whatever it does: for kinds of which nothing is known yet. */
export function wholeOf({ clip, outputs }: PlannedJob): Reckoned {
  return { kind: 'whole|any', reckoned: makingOf(outputs, clip).reckoned };
}

/** Seconds of what is left of a job: comparing, judging, hashing. */
export function restOf(job: PlannedJob): Reckoned {
  const compares = job.outputs.some(({ require }) => require.precision !== undefined);
  return {
    kind: `rest|${compares ? 'compares' : 'judges'}`,
    reckoned: makingOf(job.outputs, job.clip).reckoned,
  };
}
