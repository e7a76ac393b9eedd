import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import { DamageLog } from '../decoding/damage.js';
import { assembleFigures } from '../figures/assemble.js';
import type { Gathered } from '../figures/gathered.js';
import type { PictureTotals } from '../picture/recording/picture-totals.js';
import { FrameLog } from '../reading/frame-log.js';
import { interrupted, readStructure, tellFrameFigures } from '../reading/open-tap.js';
import { openSoundTap } from '../reading/sound-tap.js';
import type { TapOptions } from '../reading/tap.js';
import type { Division, Undivided } from './divide.js';
import { firstStamp } from './first-stamp.js';
import { measurePartsHere, type PartsRunner } from './measure-here.js';
import { mergeTotals } from './merge-totals.js';
import { type DonePart, type MeasuredPart, seamDoubt } from './part-doubt.js';
import { PartsDoubt, type RunOptions, runSound } from './run-part.js';
import { together } from './together.js';

export interface PartsOptions extends TapOptions {
  /** Share done, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/**
 * Measures the picture of a file as several ranges of frames in parallel, with the sound as a whole, and
 * merges the results. The measurement is identical, to the last bit, to that of decoding the file in one go,
 * or there is none: at the first doubt everything is stopped and the reason returned.
 *
 * @param runParts how the parts are measured
 *
 * Throws GoodgateError `interrupted` when the signal fires, `missing-tool` without ffmpeg, `measure-failed`
 * when pipes or threads cannot be made.
 */
export async function measureInParts(
  division: Division,
  options: PartsOptions,
  runParts: PartsRunner = measurePartsHere,
): Promise<MeasuredFigures | Undivided> {
  const { path, facts, colour, tools, signal: asked = new AbortController().signal } = options;
  const structure = readStructure(options);
  try {
    const origin = await firstStamp(division.video, { path, signal: asked, tools });
    if (asked.aborted) throw interrupted(path);
    if (origin === null) return { reason: 'the first frame has no time stamp, or does not decode' };
    const numbering = { origin, rate: division.rate };
    const onFrames = progressOver(
      division.ranges.map(({ from, to, lead }) => to - from + lead),
      options.onProgress,
    );
    const [parts, sound] = await together(asked, [
      (signal: AbortSignal) =>
        runParts({ path, facts, colour, division, numbering, signal, tools, onFrames }),
      (signal: AbortSignal) => wholeSound(options, { path, signal, tools }),
    ]);
    const { end, container } = await structure.reading;
    const { frameLog, pictureAnswer } = joinParts(parts);
    const gathered = {
      ...options,
      ...{ frameLog, pictureAnswer, ...sound, end, container },
      // Any error of a process would have been a doubt.
      damage: new DamageLog(),
      result: { exitCode: 0, killedBy: null },
    };
    tellFrameFigures(gathered);
    return assembleFigures(gathered);
  } catch (error) {
    if (asked.aborted) throw interrupted(path);
    if (error instanceof PartsDoubt) return { reason: error.message };
    throw error;
  } finally {
    structure.stop();
  }
}

/** Decodes and measures all sound of a file. */
async function wholeSound(
  { facts }: PartsOptions,
  run: RunOptions,
): Promise<Pick<Gathered, 'soundAnswer' | 'soundLog'>> {
  const tap = await openSoundTap(facts.audio, 0);
  try {
    return { soundAnswer: await runSound(tap, facts.audio, run), soundLog: tap.log };
  } finally {
    await tap.close();
  }
}

/** Adds up the progress of all parts. */
function progressOver(
  frames: readonly number[],
  tell: ((fraction: number) => void) | undefined,
): (part: number, done: number) => void {
  const total = frames.reduce((sum, count) => sum + count, 0);
  const done = frames.map(() => 0);
  return (part, count) => {
    done[part] = count;
    tell?.(Math.min(done.reduce((sum, of) => sum + of, 0) / total, 1));
  };
}

/** Parts of other workers are not trusted. */
function merged(before: PictureTotals, after: PictureTotals): PictureTotals {
  try {
    return mergeTotals([before, after]);
  } catch (error) {
    throw new PartsDoubt(error instanceof Error ? error.message : String(error));
  }
}

/**
 * One log and one answer, as for a file decoded in one go. Throws PartsDoubt where the parts are not
 * consecutive.
 */
function joinParts(parts: readonly MeasuredPart[]): {
  readonly frameLog: FrameLog;
  readonly pictureAnswer: DonePart;
} {
  const [first, ...others] = parts;
  if (!first) throw new Error('a file in no parts');
  const frameLog = new FrameLog('parts');
  frameLog.append(first.frameLog);
  let totals = first.answer.totals;
  for (const part of others) {
    const doubt = seamDoubt({ frameLog, columns: totals.columns }, part);
    if (doubt !== null) throw new PartsDoubt(doubt);
    frameLog.append(part.frameLog);
    totals = merged(totals, part.answer.totals);
  }
  const read = { frames: frameLog.frames, leftover: 0, silent: false };
  return { frameLog, pictureAnswer: { kind: 'done', totals, lead: first.answer.lead, read } };
}
