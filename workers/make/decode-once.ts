import { rm } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { PlannedOutput } from '../../jobs/plan/plan.js';
import type { ClipJobData } from '../../jobs/queue/messages.js';
import { newAttempt } from '../batch/attempt.js';
import { below, temporaryName } from '../batch/folder.js';
import { requireRoom } from '../batch/require-room.js';
import { guardPath, releasePath } from '../children/guard.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';
import type { ClipContext, Site } from '../clip-context.js';
import type { FfmpegResult } from '../ffmpeg/command.js';
import { resultInLog } from '../ffmpeg/result-in-log.js';
import { runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import { openMeasureTap } from '../measure/reading/open-tap.js';
import type { MeasureTap } from '../measure/reading/tap.js';
import { bakeToFiles } from '../rendering/bake-files.js';
import { type MakeOutput, makeCommand } from './make-command.js';

/** An encoder with deep look-ahead on a slow disk may be silent for long; ten minutes is a hang. */
const STALL_MS = 600_000;

/** The share of a job's progress that decoding takes; measuring the outputs takes the rest. */
export const DECODE_SHARE = 0.6;

export interface Decoded {
  /** Where each output stands for now, by its key. Whoever takes them renames or removes them. */
  readonly temporary: ReadonlyMap<string, string>;
  /** The clip's own measurement; null when it was not asked for. */
  readonly original: Measurement | null;
}

function requireSuccess(result: FfmpegResult, clip: string): void {
  if (result.killedBy === 'abort') {
    throw new GoodgateError('interrupted', { what: 'the work was interrupted', where: clip });
  }
  if (result.killedBy !== null) {
    throw new GoodgateError('ffmpeg-timeout', {
      what: `ffmpeg gave no sign of life for ${STALL_MS / 1000} s and was stopped`,
      where: clip,
      next: 'look at the disk and the machine; the command stands in logs/batch.log',
    });
  }
  if (result.exitCode !== 0) {
    throw new GoodgateError('ffmpeg-failed', {
      what: `ffmpeg ended with ${result.exitCode ?? 'no'} exit code: ${result.errors.slice(-3).join(' | ') || 'it gave no reason'}`,
      where: clip,
      next: 'the command and all it said stand in logs/batch.log',
    });
  }
}

/**
 * One ffmpeg, one decode: makes the given outputs, at least one, under temporary names and, when asked, measures the clip.
 *
 * @throws GoodgateError `interrupted`, `ffmpeg-failed`, `ffmpeg-timeout`, `disk-full`, `cannot-write`,
 * `measure-failed`, `bad-document` (a look), `bad-job`. No temporary file is left when it does.
 */
export async function decodeOnce(
  data: ClipJobData,
  outputs: readonly PlannedOutput[],
  measureOriginal: boolean,
  site: Site,
  context: ClipContext,
): Promise<Decoded> {
  const { clip } = data.job;
  const attempt = newAttempt();
  const temporary = new Map(
    outputs.map((output) => [output.key, below(data.out, temporaryName(output.path, output.key, attempt))]),
  );
  const scratch = makeTemporaryFolder('luts');
  // Half-made outputs go too when this process is killed.
  for (const path of temporary.values()) guardPath(path);
  let tap: MeasureTap | null = null;
  let whole = false;
  try {
    await requireRoom(
      data.out,
      outputs.reduce((sum, output) => sum + output.estimate.bytes, 0),
    );
    const made: MakeOutput[] = [];
    for (const output of outputs) {
      const { rendering } = output.recipe;
      const baked = rendering === null ? null : await bakeToFiles(rendering, scratch.path);
      if (baked !== null) {
        context.log.info(
          {
            output: output.path,
            rendering: baked.description,
            source: baked.source,
            notes: baked.notes,
            error: baked.error,
          },
          'rendering baked',
        );
      }
      made.push({ output, temporaryPath: temporary.get(output.key) ?? '', baked });
    }
    if (measureOriginal) {
      tap = await openMeasureTap({
        path: clip.path,
        facts: clip.facts,
        colour: clip.colour,
        signal: context.signal,
        method: { ffmpeg: site.capabilities.ffmpegVersion, goodgate: site.version },
        ffmpegPath: site.ffmpegPath,
        ffprobePath: site.ffprobePath,
      });
    }
    const command = makeCommand({
      clip,
      outputs: made,
      taps: tap?.outputs ?? [],
      capabilities: site.capabilities,
    });
    const duration = clip.facts.container.durationSeconds ?? clip.facts.video?.durationSeconds ?? 0;
    const result = await runFfmpeg(command, {
      ffmpegPath: site.ffmpegPath,
      signal: context.signal,
      stallTimeoutMs: STALL_MS,
      onLine: (line) => tap?.onLine(line),
      onProgress: ({ seconds }) => {
        if (duration <= 0) return;
        const fraction = Math.min(1, Math.max(0, seconds / duration));
        context.progress({ stage: 'decode', fraction: fraction * DECODE_SHARE, detail: clip.name });
      },
    });
    context.log.info(resultInLog(result), 'ffmpeg ended');
    requireSuccess(result, clip.path);
    const original = tap === null ? null : await tap.finish(result);
    whole = true;
    return { temporary, original };
  } finally {
    await tap?.abandon();
    scratch.remove();
    if (!whole) await removeTemporary(temporary.values());
  }
}

export async function removeTemporary(paths: Iterable<string>): Promise<void> {
  for (const path of paths) {
    await rm(path, { force: true }).catch(() => undefined);
    releasePath(path);
  }
}
