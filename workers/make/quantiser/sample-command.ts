import { codecOfEncoder } from '../../../jobs/codecs/picture-codecs.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { type FfmpegCommand, type FfmpegInput, READ_NO_FURTHER } from '../../ffmpeg/command.js';
import type { BakedFiles } from '../../rendering/bake-files.js';
import { pictureChain } from '../picture-chain.js';

/** Frames of a long clip that are looked at: each opens the file once more. */
const MOST_SAMPLES = 12;
const FEWEST_SAMPLES = 3;
/** One frame of so many is looked at, within those bounds: some 4 % of the work of a short clip. */
const FRAMES_PER_SAMPLE = 25;
/** A deinterlacer looks one frame back and one ahead. */
const FRAMES_AROUND = 3;

export interface SampleRequest {
  readonly path: string;
  readonly video: VideoFacts;
  readonly recipe: OutputRecipe;
  readonly baked: BakedFiles | null;
  readonly fontFile: string | null;
  /** Each quantiser to code the samples with, and where the list of their sizes goes. */
  readonly tries: readonly { readonly quantiser: number; readonly sizesPath: string }[];
}

/**
 * One ffmpeg that takes frames from places spread evenly over a clip through the chain of an output and codes
 * them with several quantisers. It writes the sizes (`framecrc`), no picture. Pure; null where the clip tells
 * no length or rate to spread them by.
 */
export function sampleCommand(request: SampleRequest): FfmpegCommand | null {
  const { path, video, recipe, tries } = request;
  const rate = parseRational(video.frameRate ?? '');
  const seconds = video.durationSeconds;
  if (rate === null || seconds === null || seconds <= 0) return null;
  const frames = Math.round(seconds * toNumber(rate));
  const samples = Math.min(MOST_SAMPLES, Math.max(FEWEST_SAMPLES, Math.round(frames / FRAMES_PER_SAMPLE)));
  const around = recipe.deinterlace ? FRAMES_AROUND : 1;
  const codec = codecOfEncoder(recipe.video.encoder);
  return {
    inputs: Array.from({ length: samples }, (_, index): FfmpegInput => {
      const at = ((index + 0.5) / samples) * seconds;
      return { path, options: ['-noautorotate', '-threads', '1', ...READ_NO_FURTHER, '-ss', at.toFixed(3)] };
    }),
    outputs: tries.map(({ quantiser, sizesPath }, index) => ({
      path: sizesPath,
      options: [
        ...(index === 0 ? ['-filter_complex', sampleGraph(request, samples, around)] : []),
        ...['-map', `[q${index}]`, ...codec.encoderArguments(recipe, quantiser)],
        ...['-fps_mode', 'passthrough', '-f', 'framecrc'],
      ],
    })),
  };
}

function sampleGraph(request: SampleRequest, samples: number, around: number): string {
  const { video, recipe, baked, fontFile, tries } = request;
  // Joined samples have no time of their own: they follow each other at the clip's rate.
  const still = { ...video, steady: undefined };
  const untimed = { ...recipe, frameRate: video.frameRate ?? recipe.frameRate };
  const { filters } = pictureChain(still, untimed, baked, fontFile);
  const taken = Array.from(
    { length: samples },
    (_, index) => `[${index}:${video.stream}]trim=end_frame=${around}[s${index}]`,
  );
  const all = taken.map((_, index) => `[s${index}]`).join('');
  const outs = tries.map((_, index) => `[q${index}]`).join('');
  return [
    ...taken,
    [
      `${all}concat=n=${samples}:v=1:a=0`,
      `setpts=N/(${untimed.frameRate}*TB)`,
      ...filters,
      ...(around === 1 ? [] : [`select=eq(mod(n\\,${around})\\,1)`]),
      `split=${tries.length}${outs}`,
    ].join(','),
  ].join(';');
}

/** Bytes of each packet in a list written by `framecrc`: stream, two times, duration, size, checksum. */
export function readSizes(list: string): number[] {
  const sizes: number[] = [];
  for (const line of list.split('\n')) {
    if (line.startsWith('#') || line.trim() === '') continue;
    const size = Number(line.split(',')[4]);
    if (Number.isFinite(size)) sizes.push(size);
  }
  return sizes;
}
