import type { Measurement } from '../../../jobs/measurement.js';
import { assembleMeasurement, type Gathered } from '../assemble.js';
import { DamageLog } from '../damage.js';
import { FrameLog } from '../frame-log.js';
import { interrupted, readAround, type TapOptions, tellFrameFigures } from '../open-tap.js';
import { openPictureTap, type PictureTap } from '../picture-tap.js';
import { openSoundTap, type SoundTap } from '../sound-tap.js';
import type { Division, Undivided } from './divide.js';
import { firstStamp } from './first-stamp.js';
import { mergeTotals } from './merge-totals.js';
import { type DonePart, type FrameNumbering, type MeasuredPart, seamDoubt } from './part-doubt.js';
import { PartsDoubt, type RunOptions, runPart, runSound } from './run-part.js';

export interface PartsOptions extends TapOptions {
  /** Share done, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/**
 * Measures the picture of a file as several ranges of frames at once, its sound as a whole beside them, and merges what came. The
 * measurement is the one that decoding the file in one go gives, to the last bit, or there is none: at the
 * first doubt everything is stopped and the reason returned.
 *
 * Throws GoodgateError `interrupted` when the signal fires, `missing-tool` without ffmpeg, `measure-failed` when pipes or
 * threads cannot be made.
 */
export async function measureInParts(
  division: Division,
  options: PartsOptions,
): Promise<Measurement | Undivided> {
  const stop = new AbortController();
  const signal = options.signal ? AbortSignal.any([options.signal, stop.signal]) : stop.signal;
  const run: RunOptions = { path: options.path, signal, ffmpegPath: options.ffmpegPath };
  const around = readAround({ ...options, signal });
  const taps: (PictureTap | SoundTap)[] = [];
  try {
    const origin = await firstStamp(division.video, run);
    if (options.signal?.aborted) throw interrupted(options.path);
    if (origin === null) return { whole: 'the first frame has no time stamp, or does not decode' };
    const numbering = { origin, rate: division.rate };
    const { parts, soundAnswer, soundLog } = await runAll(division, numbering, options, run, taps, stop);
    const { end, container } = await around.reading;
    const { frameLog, pictureAnswer } = joinParts(parts);
    const gathered = {
      ...options,
      ...{ frameLog, pictureAnswer, soundLog, soundAnswer, end, container },
      // Whatever any process complained of would have been a doubt.
      damage: new DamageLog(),
      result: { exitCode: 0, killedBy: null },
    };
    tellFrameFigures(gathered);
    return assembleMeasurement(gathered);
  } catch (error) {
    if (options.signal?.aborted) throw interrupted(options.path);
    if (error instanceof PartsDoubt) return { whole: error.message };
    throw error;
  } finally {
    stop.abort();
    around.stop();
    await Promise.all(taps.map((tap) => tap.close()));
  }
}

/** Runs all parts and the sound to their ends. The first that fails stops the others, and is the one that is told of. */
async function runAll(
  { video, ranges }: Division,
  numbering: FrameNumbering,
  options: PartsOptions,
  run: RunOptions,
  taps: (PictureTap | SoundTap)[],
  stop: AbortController,
): Promise<Pick<Gathered, 'soundAnswer' | 'soundLog'> & { readonly parts: readonly MeasuredPart[] }> {
  const progress = progressOver(
    ranges.map(({ from, to, lead }) => to - from + lead),
    options.onProgress,
  );
  const pictures: PictureTap[] = [];
  for (const [index, { from, to, lead }] of ranges.entries()) {
    const isLast = index === ranges.length - 1;
    const tap = await openPictureTap({
      ...{ video, colour: options.colour, input: 0 },
      frames: { first: from - lead, lead, count: isLast ? null : to - from + lead },
      onFrames: (frames) => progress(index, frames),
    });
    pictures.push(tap);
    taps.push(tap);
  }
  const soundTap = await openSoundTap(options.facts.audio, 0);
  taps.push(soundTap);

  const failures: unknown[] = [];
  const guarded = <T>(work: Promise<T>): Promise<T> => {
    work.catch((error: unknown) => {
      failures.push(error);
      stop.abort();
    });
    return work;
  };
  const sound = guarded(runSound(soundTap, options.facts.audio, run));
  const parts = pictures.map((tap, index) => {
    const range = ranges[index];
    if (!range) throw new Error('a tap without its range');
    return guarded(runPart(tap, range, index === ranges.length - 1, numbering, run));
  });
  // Nobody lets go of a pipe that a process still writes to.
  await Promise.allSettled([sound, ...parts]);
  if (failures.length > 0) throw failures[0];
  return { parts: await Promise.all(parts), soundAnswer: await sound, soundLog: soundTap.log };
}

/** Adds up how far each part has come. */
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

/** One log and one answer, as of a file decoded in one go. Throws PartsDoubt where the parts do not follow on one another. */
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
    totals = mergeTotals([totals, part.answer.totals]);
  }
  const read = { frames: frameLog.frames, leftover: 0, silent: false };
  return { frameLog, pictureAnswer: { kind: 'done', totals, lead: first.answer.lead, read } };
}
