import { mkdir, rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { ListedHash } from '../../jobs/hash-list/hash-format.js';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { type MeasuredFigures, type Measurement, measurementOf } from '../../jobs/measurement/measurement.js';
import type { LaidSound } from '../../jobs/plan/laid-sound.js';
import type { PlannedClip, PlannedOutput } from '../../jobs/plan/plan.js';
import type { ClipJobData } from '../../jobs/queue/messages.js';
import { newAttempt } from '../batch/attempt.js';
import { below, temporaryName, wholeOf } from '../batch/folder.js';
import { requireRoom, watchRoom } from '../batch/require-room.js';
import { writeFailure } from '../batch/write-whole.js';
import { guardPath, releasePath } from '../children/guard.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';
import type { ClipContext, Site } from '../clip-context.js';
import { type SeenFrames, seenFrames } from '../compare/order/seen-frames.js';
import type { FfmpegResult } from '../ffmpeg/command.js';
import { faultError, ffmpegFault } from '../ffmpeg/fault.js';
import { resultInLog } from '../ffmpeg/result-in-log.js';
import { runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import { requireSameState, requireUnchanged, whileUnchanged } from '../file/file-state.js';
import { requireAsListed } from '../hash-list/hash-beside.js';
import { requireTrueEnd } from '../measure/decoding/silent-end.js';
import { openMeasureTap } from '../measure/reading/open-tap.js';
import type { TapOptions } from '../measure/reading/tap.js';
import { bakeToFiles } from '../rendering/bake-files.js';
import { laidIn, type MakeOutput, makeCommand } from './make-command.js';
import { chooseQuantiser } from './quantiser/choose-quantiser.js';

/**
 * An encoder with a long look-ahead on a slow disk may show no activity for a while; after ten minutes it
 * hangs.
 */
const STALL_MS = 600_000;

/** Share of decoding in the progress of a job; measuring the outputs is the rest. */
export const DECODE_SHARE = 0.6;

export interface Decoded {
  /** Temporary path of each output, by its key. The caller renames or removes them. */
  readonly temporary: ReadonlyMap<string, string>;
  /** The measurement of the clip itself; null when it was not requested. */
  readonly original: Measurement | null;
  /** What is kept of the frames of the clip; null when it was not measured, or has no picture. */
  readonly frames: SeenFrames | null;
}

/** That the clip itself is measured by the decode that makes the outputs. */
export type MeasureOriginal = Pick<TapOptions, 'keep'>;

function requireSuccess(result: FfmpegResult, clip: string): void {
  if (result.killedBy === 'abort') {
    throw new GoodgateError('interrupted', { what: 'the work was interrupted', where: clip });
  }
  const fault = ffmpegFault(result);
  if (fault !== null) throw faultError('ffmpeg', fault, clip);
}

/** The outputs with the tables of their renderings, and with quantisers where one keeps the rate. */
async function prepareAll(
  clip: PlannedClip,
  outputs: readonly PlannedOutput[],
  temporary: ReadonlyMap<string, string>,
  scratch: string,
  site: Site,
  context: ClipContext,
): Promise<MakeOutput[]> {
  const made: MakeOutput[] = [];
  for (const output of outputs) {
    const { rendering } = output.recipe;
    const temporaryPath = temporary.get(output.key) ?? '';
    const baked = rendering === null ? null : await bakeToFiles(rendering, scratch);
    if (baked !== null) {
      const { description, source, notes, error } = baked;
      context.log.info(
        { output: output.path, rendering: description, source, notes, error },
        'rendering baked',
      );
    }
    const quantiser = await chooseQuantiser(clip, { output, temporaryPath, baked }, scratch, site, context);
    made.push({ output, temporaryPath, baked, quantiser });
  }
  return made;
}

/** Decodes a clip into outputs and, where that is asked for, measures it; returns null otherwise. */
async function decodeInto(
  clip: PlannedClip,
  outputs: readonly MakeOutput[],
  measure: MeasureOriginal | null,
  site: Site,
  context: ClipContext,
): Promise<(Pick<Decoded, 'frames'> & { readonly figures: MeasuredFigures }) | null> {
  const { signal } = context;
  const { tools, capabilities } = site;
  const { path, facts, colour } = clip;
  const method = { ffmpeg: capabilities.ffmpegVersion, goodgate: site.version };
  let frames: SeenFrames | null = null;
  const onFrameFigures: TapOptions['onFrameFigures'] = (each) => {
    frames = seenFrames(each);
  };
  const tapped = { path, facts, colour, signal, method, tools, onFrameFigures };
  const tap = measure === null ? null : await openMeasureTap({ ...tapped, ...measure });
  try {
    const taps = tap?.outputs ?? [];
    const command = makeCommand({ clip, outputs, taps, capabilities, threads: context.threads?.() });
    const duration = facts.container.durationSeconds ?? facts.video?.durationSeconds ?? 0;
    const result = await runFfmpeg(command, {
      tools,
      signal,
      stallTimeoutMs: STALL_MS,
      onLine: (line) => tap?.onLine(line),
      onProgress: ({ seconds }) => {
        if (duration <= 0) return;
        const fraction = Math.min(1, Math.max(0, seconds / duration));
        context.reading?.(fraction);
        context.progress({ stage: 'decode', fraction: fraction * DECODE_SHARE, detail: clip.name });
      },
    });
    context.log.info(resultInLog(result), 'ffmpeg ended');
    requireSuccess(result, path);
    if (tap === null) return null;
    const figures = await tap.finish(result);
    await requireTrueEnd(path, figures, facts, { signal, tools });
    return { figures, frames };
  } finally {
    await tap?.abandon();
  }
}

/**
 * One ffmpeg, one decode: makes the outputs, at least one, under temporary names and, where that is asked
 * for, measures the clip.
 *
 * @throws GoodgateError `interrupted`, `file-changed`, `ffmpeg-failed`, `ffmpeg-timeout`, `disk-full`,
 * `cannot-write`, `measure-failed`, `bad-document` (a look), `bad-job`. It leaves no temporary file then.
 */
export async function decodeOnce(
  { job, out }: ClipJobData,
  outputs: readonly PlannedOutput[],
  measure: MeasureOriginal | null,
  site: Site,
  context: ClipContext,
): Promise<Decoded> {
  const { path, facts } = job.clip;
  const attempt = newAttempt();
  const temporary = new Map(
    outputs.map((output) => [output.key, below(out, temporaryName(output.path, output.key, attempt))]),
  );
  const scratch = makeTemporaryFolder('luts');
  // Incomplete outputs are removed even when this process is killed.
  for (const path of temporary.values()) guardPath(wholeOf(path));
  let complete = false;
  const room = watchRoom(out);
  try {
    await requireRoom(
      outputs.map(({ path, estimate }) => ({
        ...{
          folder: dirname(wholeOf(below(out, path))),
          bytes: estimate.bytes,
          isKnown: estimate.by !== undefined,
        },
      })),
    );
    const signal = AbortSignal.any([context.signal, room.signal]);
    for (const path of temporary.values()) await makeFolderOf(path);
    const work = async () => {
      const watched = { ...context, signal };
      const made = await prepareAll(job.clip, outputs, temporary, scratch.path, site, watched);
      return decodeInto(job.clip, made, measure, site, watched);
    };
    const laid = laidIn(outputs);
    const { result: measured, file } = await whileUnchanged(path, (found) => {
      requireSameState(path, facts, found);
      return whileSoundUnchanged(laid, job.clip.listedSound ?? {}, work, signal);
    });
    complete = true;
    const original = measured && measurementOf({ path, ...file }, job.clipKey, measured.figures);
    return { temporary, original, frames: measured?.frames ?? null };
  } catch (error) {
    throw room.signal.aborted && !context.signal.aborted ? room.signal.reason : error;
  } finally {
    room.stop();
    scratch.remove();
    if (!complete) await removeTemporary(temporary.values());
  }
}

/**
 * Runs work that lays files of sound recorded apart, which must be as they were planned and stay so; one that
 * a hash list names must be as listed.
 */
async function whileSoundUnchanged<T>(
  [laid, ...others]: readonly LaidSound[],
  listed: Readonly<Record<string, ListedHash>>,
  work: () => Promise<T>,
  signal: AbortSignal,
): Promise<T> {
  if (laid === undefined) return work();
  await requireUnchanged(laid.path, laid);
  const { result } = await whileUnchanged(laid.path, async (found) => {
    requireSameState(laid.path, laid, found);
    await requireAsListed(laid.path, listed[laid.path], signal);
    return whileSoundUnchanged(others, listed, work, signal);
  });
  return result;
}

/** Frames go into a folder of their own. */
async function makeFolderOf(path: string): Promise<void> {
  if (sequenceName(path) === null) return;
  await mkdir(dirname(path), { recursive: true }).catch((error: unknown) => {
    throw writeFailure(path, error);
  });
}

export async function removeTemporary(paths: Iterable<string>): Promise<void> {
  for (const path of paths) {
    const whole = wholeOf(path);
    await rm(whole, { recursive: true, force: true }).catch(() => undefined);
    releasePath(whole);
  }
}
