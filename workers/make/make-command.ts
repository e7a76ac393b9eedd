import { codecOfEncoder } from '../../jobs/codecs/picture-codecs.js';
import { GoodgateError } from '../../jobs/errors.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { Capabilities } from '../../jobs/plan/capabilities.js';
import type { LaidSound } from '../../jobs/plan/laid-sound.js';
import type { OutputRecipe, PlannedClip, PlannedOutput } from '../../jobs/plan/plan.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import type { FfmpegCommand, FfmpegOutput } from '../ffmpeg/command.js';
import { soundDecoding } from '../ffmpeg/sound-decoding.js';
import type { BakedFiles } from '../rendering/bake-files.js';
import { tagOptions } from './colour-arguments.js';
import { containerArguments } from './container-arguments.js';
import { subtitleArguments } from './extra-arguments.js';
import { laidInput } from './laid-input.js';
import { linesBelow } from './lines-below.js';
import { pictureChain } from './picture-chain.js';
import { soundArguments } from './sound-arguments.js';

export interface MakeOutput {
  readonly output: PlannedOutput;
  /** Where ffmpeg writes; renamed by the caller once it is measured. */
  readonly temporaryPath: string;
  /** The baked rendering of the recipe; null exactly when the recipe has none. */
  readonly baked: BakedFiles | null;
  /** The quantiser chosen for this clip; null: the encoder keeps its own rate. */
  readonly quantiser: number | null;
}

export interface MakeRequest {
  readonly clip: PlannedClip;
  readonly outputs: readonly MakeOutput[];
  /** Outputs that measure the original in the same decode. */
  readonly taps: readonly FfmpegOutput[];
  readonly capabilities: Pick<Capabilities, 'fontFile'>;
  /** Of the decoder and of each encoder; absent: ffmpeg's choice, which is every core for each of them. */
  readonly threads?: number | undefined;
}

/** More frames at once than this gain nothing, and x265 takes no more. */
const MOST_THREADS = 16;

/**
 * The one ffmpeg command of a clip: decoded once, into every output and every tap, beside the sound recorded
 * apart that is laid into them. Pure.
 *
 * Throws GoodgateError `bad-job` when the clip has no picture or a rendering has no LUT, `missing-tool` when
 * a burn-in has no font.
 */
export function makeCommand(request: MakeRequest): FfmpegCommand {
  const { clip, outputs, taps, capabilities, threads } = request;
  const laid = laidIn(outputs.map(({ output }) => output));
  const shared = threads === undefined ? [] : ['-threads:v', String(Math.min(threads, MOST_THREADS))];
  return {
    // Rotation is part of the recipe; otherwise ffmpeg would rotate the measured frames too.
    inputs: [
      {
        ...{ path: clip.path, rate: clip.facts.video?.frameRate },
        options: ['-noautorotate', ...shared, ...soundDecoding(clip.facts.audio)],
      },
      ...laid.map(laidInput),
    ],
    outputs: [
      ...outputs.map((output, index) => ({
        path: output.temporaryPath,
        options: [...outputOptions(clip, output, index, capabilities), ...shared],
      })),
      ...taps,
    ],
  };
}

/**
 * The sound recorded apart that is laid into outputs of a clip: the same files for all of them; empty:
 * none.
 */
export function laidIn(outputs: readonly Pick<PlannedOutput, 'recipe'>[]): readonly LaidSound[] {
  return outputs.find(({ recipe }) => recipe.audio?.laid !== undefined)?.recipe.audio?.laid ?? [];
}

function outputOptions(
  clip: PlannedClip,
  { output, baked, quantiser }: MakeOutput,
  index: number,
  capabilities: MakeRequest['capabilities'],
): string[] {
  const { recipe } = output;
  const { video } = clip.facts;
  if (video === null) throw badJob(clip, 'has no picture to make an output from');
  if ((recipe.rendering === null) !== (baked === null)) {
    throw badJob(clip, 'has a rendering without its LUT, or a LUT without a rendering');
  }
  const { filters, siting } = pictureChain(video, recipe, baked, capabilities.fontFile);
  // Laid sound begins with the first frame, whenever the file lets that begin.
  const begun = recipe.audio?.laid === undefined ? [] : ['setpts=PTS-STARTPTS'];
  const coded = [...begun, ...filters, ...linesBelow(recipe.video.encoder, recipe.raster.height)];
  return [
    ...[
      '-filter_complex',
      graphOf(video.stream, coded, `v${index}`, keepsSideData(recipe)),
      '-map',
      `[v${index}]`,
    ],
    ...codecOfEncoder(recipe.video.encoder).encoderArguments(recipe, quantiser),
    ...tagOptions(recipe.colour),
    ...(recipe.video.chroma === '4:2:0' || recipe.video.chroma === '4:2:2'
      ? ['-chroma_sample_location', siting]
      : []),
    // The fps filter has set the frame times; ffmpeg's own correction would add frames where the picture
    // starts after the sound.
    ...['-fps_mode', 'passthrough'],
    ...frameLimit(video, recipe),
    ...soundArguments(recipe, clip.facts.audio, `a${index}`),
    ...subtitleArguments(recipe),
    ...containerArguments(recipe, clip.facts),
  ];
}

/**
 * Limit of frames: a gap is filled with frames, and a damaged time stamp can make a gap of hours. Twice the
 * expected number is enough for every valid clip and keeps a damaged one from filling the disk; the frame
 * count then reveals it.
 */
function frameLimit(video: VideoFacts, recipe: OutputRecipe): string[] {
  const rate = parseRational(recipe.frameRate);
  const bySeconds = rate === null ? 0 : (video.durationSeconds ?? 0) * toNumber(rate);
  const expected = Math.max(video.frames ?? 0, bySeconds);
  return expected === 0 ? [] : ['-frames:v', String(2 * Math.ceil(expected) + 1000)];
}

/**
 * A complex graph, and one with two inputs: ffmpeg copies stream metadata of the original (its rotation, its
 * mastering display) onto the output of a simple graph and of one with a single input (5.1, checked by the
 * round-trip test). The second input is not used and costs nothing. It is left out where that copy is
 * intended.
 */
function graphOf(stream: number, filters: readonly string[], label: string, keeps: boolean): string {
  return `[0:${stream}]${filters.join(',')}[${label}]${keeps ? '' : `;[0:${stream}]nullsink`}`;
}

/**
 * Whether to copy the mastering display that the container of the original declares; a rotation would be
 * copied too.
 */
function keepsSideData({ carry, hdr, rotation }: OutputRecipe): boolean {
  return carry !== null && rotation === 0 && (hdr.mastering !== null || hdr.lightLevel !== null);
}

function badJob(clip: PlannedClip, what: string): GoodgateError {
  return new GoodgateError('bad-job', {
    what: `the job ${what}`,
    where: clip.path,
    next: 'plan the batch again',
  });
}
