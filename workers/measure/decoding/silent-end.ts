import { z } from 'zod';
import type { GoodgateError } from '../../../jobs/errors.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import { count, grouped } from '../../../jobs/words/numbers.js';
import { faultError } from '../../ffmpeg/fault.js';
import { type ProbeOptions, runFfprobe, runFfprobeLines } from '../../probe/run-ffprobe.js';

/** The whole file is decoded. */
const TIMEOUT_MS = 60 * 60_000;
/** Decoders of sound differ by a packet or two at the ends. */
const TOLERANCE_SECONDS = 0.1;

const counted = z.object({
  streams: z.array(z.object({ nb_read_frames: z.coerce.number().optional() })).default([]),
});

/**
 * An ffmpeg that stops early, with exit code 0 and without a word, cannot be told from a file that ends early
 * by what it gave. So where a file seems to end early and no decoder or demuxer complains of it, ffprobe
 * decodes it as well: what it finds beyond that end is in the file, and ffmpeg has failed.
 *
 * Throws GoodgateError `ffmpeg-failed` then, and those of `runFfprobe`.
 */
export async function requireTrueEnd(
  path: string,
  { decode, video, audio }: MeasuredFigures,
  facts: Pick<ClipFacts, 'video'>,
  options: ProbeOptions,
): Promise<void> {
  if (!decode.truncated || decode.errors > 0) return;
  const long = { ...options, timeoutMs: Math.max(options.timeoutMs ?? 0, TIMEOUT_MS) };
  if (video !== null && facts.video !== null) {
    await requireAllFrames(path, { stream: facts.video.stream, frames: video.frames }, long);
  }
  for (const sound of audio) await requireAllSamples(path, sound, long);
}

/**
 * Throws GoodgateError `ffmpeg-failed` where a file has more frames than ffmpeg gave of it, and those of
 * `runFfprobe`. It decodes the file: for where too few came.
 */
export async function requireAllFrames(
  path: string,
  { stream, frames }: { readonly stream: number; readonly frames: number },
  options: ProbeOptions,
): Promise<void> {
  const there = await framesOf(path, stream, { timeoutMs: TIMEOUT_MS, ...options });
  if (there > frames) throw stopped(path, `${grouped(frames)} of ${count(there, 'frame')}`);
}

/** The same of a sound stream, whose samples are counted at its own rate. */
export async function requireAllSamples(
  path: string,
  sound: { readonly stream: number; readonly samples: number; readonly sampleRate: number },
  options: ProbeOptions,
): Promise<void> {
  const there = await samplesOf(path, sound.stream, { timeoutMs: TIMEOUT_MS, ...options });
  if (there > sound.samples + TOLERANCE_SECONDS * sound.sampleRate) {
    throw stopped(path, `${grouped(sound.samples)} of ${count(there, 'sample')}`);
  }
}

async function framesOf(path: string, stream: number, options: ProbeOptions): Promise<number> {
  const args = ['-select_streams', String(stream), '-count_frames', '-show_entries', 'stream=nb_read_frames'];
  const { streams } = await runFfprobe(path, args, counted, options);
  return streams[0]?.nb_read_frames ?? 0;
}

async function samplesOf(path: string, stream: number, options: ProbeOptions): Promise<number> {
  let samples = 0;
  const args = ['-select_streams', String(stream), '-show_entries', 'frame=nb_samples', '-of', 'csv=p=0'];
  const add = (line: string): void => {
    samples += Number.parseInt(line, 10) || 0;
  };
  await runFfprobeLines(path, args, add, options);
  return samples;
}

function stopped(path: string, there: string): GoodgateError {
  const fault = {
    code: 'ffmpeg-failed',
    what: `stopped after ${there} with exit code 0 and no word of an error`,
    blamesFile: false,
  } as const;
  return faultError('ffmpeg', fault, path);
}
