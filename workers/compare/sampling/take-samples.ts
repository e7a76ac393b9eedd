import { join } from 'node:path';
import type { ClipFacts, VideoFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { parseRational } from '../../../signal/rational.js';
import { faultError, ffmpegFault } from '../../ffmpeg/fault.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../../ffmpeg/tools.js';
import { pictureChain } from '../../make/picture-chain.js';
import { isKnown, sampleLayout } from '../../measure/picture/plan/sample-layout.js';
import { SEEKABLE } from '../../measure/reading/frame-stamp.js';
import type { BakedFiles } from '../../rendering/bake-files.js';
import { FetchError, fetchFrames } from '../../report/stills/fetch-frames.js';
import { nearFrames } from '../../report/stills/fetch-plan.js';

/** Raw frames of one file, one after the other. */
export interface Taken {
  /** Frame numbers in the order in which they lie in the file. */
  readonly frames: readonly number[];
  readonly file: string;
  /** ffmpeg's planar format they are in. */
  readonly pixelFormat: string;
}

export interface TakeOptions {
  /** Folder for the raw frames, for this comparison alone. */
  readonly scratch: string;
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
}

const STALL_MS = 60_000;
/** A file is read from its start up to here: seeking a dozen places, each with a run-up, takes as long. */
const COUNTED_SECONDS = 40;

/**
 * Takes frames of a file by their numbers, as they are decoded. Each is proved by its time stamp to be the
 * one (stills do the same).
 *
 * Throws FetchError where that cannot be told, GoodgateError `missing-tool`.
 *
 * @param frames in rising order, each once
 * @param name of the raw file
 */
export async function takeFrames(
  path: string,
  { video, container }: { readonly video: VideoFacts; readonly container: ClipFacts['container'] },
  frames: readonly number[],
  name: string,
  { scratch, tools, signal }: TakeOptions,
): Promise<Taken> {
  const layout = sampleLayout(video.pixelFormat);
  if (!isKnown(layout)) throw new Error(layout.unknown);
  const rate = parseRational(video.frameRate ?? '');
  const pipe = join(scratch, `${name}.raw`);
  const options = { path, video, pipe, tools, signal };
  const last = frames.at(-1) ?? 0;
  const isSteady = video.constantRate === true && rate !== null && SEEKABLE.test(container.format);
  // Whoever has frames far in seeks them all.
  if (isSteady && last >= nearFrames(video, rate, COUNTED_SECONDS)) {
    try {
      await fetchFrames({ counted: [], sought: frames, rate }, options);
      return { frames, file: pipe, pixelFormat: layout.readAs };
    } catch (error) {
      const isFar = last >= (COUNTED_SECONDS * rate.num) / rate.den;
      if (!(error instanceof FetchError) || isFar || signal?.aborted) throw error;
    }
  }
  await fetchFrames({ counted: frames, sought: [], rate: null }, options);
  return { frames, file: pipe, pixelFormat: layout.readAs };
}

/** The original, and what makes it like its copy. */
export interface Reference {
  readonly video: VideoFacts;
  readonly recipe: OutputRecipe;
  readonly baked: BakedFiles | null;
}

/**
 * Takes raw frames of an original through the chain of filters that made its copy, by the same code.
 *
 * @param frames those of the taken ones that are wanted; where fields are made frames, three of each place
 * @returns one frame of each place, in order
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `missing-tool`.
 */
export async function throughChain(
  taken: Taken,
  frames: readonly number[],
  { video, recipe, baked }: Reference,
  { scratch, tools, signal }: TakeOptions,
): Promise<string> {
  const still = { ...video, pixelFormat: taken.pixelFormat, steady: undefined };
  const untimed = { ...recipe, frameRate: '25/1' };
  const { filters } = pictureChain({ ...still, frameRate: '25/1' }, untimed, baked, null);
  const to = join(scratch, 'reference.raw');
  const graph = [
    // Raw frames come packed, and zscale crashes on lines that are not aligned (zimg 3.0: 4:2:2 of
    // 1440 x 1080): a copy has lines as a decoder makes them.
    '[0:0]copy',
    ...(frames.length < taken.frames.length
      ? [selected(frames.map((each) => taken.frames.indexOf(each)))]
      : []),
    'settb=1/1000000',
    'setpts=N*40000',
    ...filters,
    ...(recipe.deinterlace ? ['select=eq(mod(n\\,3)\\,1)'] : []),
  ].join(',');
  const result = await runFfmpeg(
    {
      inputs: [
        {
          path: taken.file,
          options: [
            ...['-f', 'rawvideo', '-pixel_format', taken.pixelFormat],
            ...['-video_size', `${video.width}x${video.height}`, '-framerate', '25'],
          ],
        },
      ],
      outputs: [
        {
          path: to,
          options: [
            ...['-filter_complex', `${graph}[out]`, '-map', '[out]', '-fps_mode', 'passthrough'],
            ...['-c:v', 'rawvideo', '-pix_fmt', recipe.video.pixelFormat, '-f', 'rawvideo'],
          ],
        },
      ],
    },
    { tools, signal, stallTimeoutMs: STALL_MS },
  );
  const fault = ffmpegFault(result);
  if (fault !== null) throw faultError('ffmpeg', fault, taken.file);
  return to;
}

/** The filter that lets only frames of these numbers pass. */
function selected(frames: readonly number[]): string {
  return `select=${frames.map((frame) => `eq(n\\,${frame})`).join('+')}`;
}

/**
 * As `throughChain`, decoding the original from its start: for frames that are not those of the copy by
 * number, because frames were repeated or left out to even their rate.
 *
 * @param frames numbers after the chain, in rising order
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `missing-tool`.
 */
export async function wholeThroughChain(
  path: string,
  { video, recipe, baked }: Reference,
  frames: readonly number[],
  { scratch, tools, signal }: TakeOptions,
): Promise<string> {
  const { filters } = pictureChain(video, recipe, baked, null);
  const to = join(scratch, 'reference.raw');
  const result = await runFfmpeg(
    {
      inputs: [{ path, rate: video.frameRate, options: ['-noautorotate'] }],
      outputs: [
        {
          path: to,
          options: [
            ...['-filter_complex', `[0:${video.stream}]${[...filters, selected(frames)].join(',')}[out]`],
            ...['-map', '[out]', '-fps_mode', 'passthrough', '-frames:v', String(frames.length)],
            ...['-c:v', 'rawvideo', '-pix_fmt', recipe.video.pixelFormat, '-f', 'rawvideo'],
          ],
        },
      ],
    },
    { tools, signal, stallTimeoutMs: STALL_MS },
  );
  const fault = ffmpegFault(result);
  if (fault !== null) throw faultError('ffmpeg', fault, path);
  return to;
}
