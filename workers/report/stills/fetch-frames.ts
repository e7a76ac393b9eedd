import { randomBytes } from 'node:crypto';
import { isIntra } from '../../../jobs/codecs/codec-traits.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { Rational } from '../../../signal/rational.js';
import { type FfmpegCommand, type FfmpegResult, READ_NO_FURTHER } from '../../ffmpeg/command.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../../ffmpeg/tools.js';
import {
  isKnown,
  rangeFilter,
  type SampleLayout,
  sampleLayout,
} from '../../measure/picture/plan/sample-layout.js';
import { FrameLog } from '../../measure/reading/frame-log.js';
import type { FrameFormat } from '../../measure/reading/frame-record.js';
import { isStampOf, justBefore } from '../../measure/reading/frame-stamp.js';
import type { FetchPlan } from './fetch-plan.js';

export interface FetchOptions {
  readonly path: string;
  readonly video: VideoFacts;
  /** Where the frames go, one after the other, as raw planes. */
  readonly pipe: string;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
}

/** Without a line or a frame for this long ffmpeg is taken to hang. */
const STALL_MS = 60_000;
/**
 * Decoding starts this long before a frame that is sought, so that no picture it depends on is missing; where
 * each is coded by itself, just before it.
 */
const RUN_UP_SECONDS = 3;

/** The frame is not certainly the one asked for. */
export class FetchError extends Error {}

/**
 * Decodes the frames of a plan into a pipe, in rising order, nothing else. Every frame is checked by its time
 * stamp to be the one that has this number when the file is decoded from its start.
 *
 * Throws FetchError at the first doubt; GoodgateError `missing-tool`.
 */
export async function fetchFrames(plan: FetchPlan, options: FetchOptions): Promise<void> {
  const layout = sampleLayout(options.video.pixelFormat);
  if (!isKnown(layout)) throw new FetchError(layout.unknown);
  if (plan.counted.length > 0) await fetchCounted(plan.counted, layout, options);
  if (plan.sought.length > 0 && plan.rate !== null) {
    const origin = await firstStamp(options);
    await fetchSought(runsOf(plan.sought), plan.rate, origin, layout, options);
  }
}

async function fetchCounted(
  frames: readonly number[],
  layout: SampleLayout,
  options: FetchOptions,
): Promise<void> {
  const decoded = newLog();
  const passed = newLog();
  const wanted = frames.map((frame) => `eq(n,${frame})`).join('+');
  await run(
    {
      inputs: [{ path: options.path, rate: options.video.frameRate, options: ['-noautorotate'] }],
      outputs: [
        rawOutput(
          frames.length,
          [
            ...['-map', `0:${options.video.stream}`],
            ...['-vf', `${decoded.filter},${rangeFilter(layout)},select='${wanted}',${passed.filter}`],
          ],
          layout,
          options,
        ),
      ],
    },
    [decoded, passed],
    options,
  );
  const last = frames.at(-1) ?? 0;
  // A change of format begins a new filter, which counts from 0 again.
  if (decoded.changes.some((change) => change.frame <= last))
    throw new FetchError('the format changes before');
  requireFormat(passed.first, layout, options.video);
  const all = decoded.timestamps;
  const given = passed.timestamps;
  if (all === null || given === null) throw new FetchError('the frames have no time stamps');
  const isAsked = frames.every((frame, i) => {
    const stamp = all.ticks[frame];
    return stamp !== undefined && stamp === given.ticks[i];
  });
  if (given.ticks.length !== frames.length || !isAsked) throw new FetchError('other frames came');
}

interface Origin {
  readonly ticks: number;
  readonly timeBase: Rational;
}

/** Time stamp of the first frame, as it stands in the file. */
async function firstStamp(options: FetchOptions): Promise<Origin> {
  const log = newLog();
  await run(
    {
      inputs: [
        {
          path: options.path,
          rate: options.video.frameRate,
          // Decoding by frame threads would begin more frames than this one.
          options: ['-noautorotate', '-copyts', '-threads', '1'],
        },
      ],
      outputs: [
        {
          path: '/dev/null',
          options: [
            ...['-map', `0:${options.video.stream}`, '-vf', log.filter],
            ...['-fps_mode', 'passthrough', '-frames:v', '1', '-f', 'null'],
          ],
        },
      ],
    },
    [log],
    options,
  );
  return stampOf(log);
}

function stampOf(log: FrameLog): Origin {
  const stamps = log.timestamps;
  const ticks = stamps?.ticks[0];
  if (stamps === null || ticks === undefined) throw new FetchError('the frame has no time stamp');
  return { ticks, timeBase: stamps.timeBase };
}

interface FrameRun {
  readonly first: number;
  readonly count: number;
}

/** Frames that follow one another are sought once. */
function runsOf(frames: readonly number[]): FrameRun[] {
  const runs: FrameRun[] = [];
  for (const frame of frames) {
    const last = runs.at(-1);
    if (last === undefined || frame !== last.first + last.count) runs.push({ first: frame, count: 1 });
    else runs[runs.length - 1] = { ...last, count: last.count + 1 };
  }
  return runs;
}

/**
 * After their stamps were told, frames are numbered anew: those of Matroska, in whole milliseconds, can
 * round to one time of the output, which is then refused.
 */
const A_SECOND_APART = 'settb=1,setpts=N';

/** All runs in one ffmpeg, each from an input of its own, which is read only while its frames are due. */
async function fetchSought(
  runs: readonly FrameRun[],
  rate: Rational,
  origin: Origin,
  layout: SampleLayout,
  options: FetchOptions,
): Promise<void> {
  const { path, video } = options;
  const tick = origin.timeBase.num / origin.timeBase.den;
  const logs = runs.map(newLog);
  const places = runs.map(({ first, count }, index) => {
    const from = origin.ticks * tick + justBefore(first, rate);
    const chosen = `select='gte(t,${from.toFixed(9)})',trim=end_frame=${count}`;
    const chain = `${rangeFilter(layout)},${chosen},${logs[index]?.filter}`;
    return { from, chain: `[${index}:${video.stream}]${chain}[run${index}]` };
  });
  // Decoding by frame threads would begin more frames than are due.
  const alone = isIntra(video.codec);
  const joined = runs.map((_, index) => `[run${index}]`).join('');
  const output = rawOutput(
    runs.reduce((sum, { count }) => sum + count, 0),
    [
      ...[
        '-filter_complex',
        `${places.map(({ chain }) => chain).join(';')};${joined}concat=n=${runs.length},${A_SECOND_APART}[all]`,
      ],
      ...['-map', '[all]'],
    ],
    layout,
    options,
  );
  await run(
    {
      inputs: places.map(({ from }) => ({
        path,
        rate: video.frameRate,
        options: [
          ...['-noautorotate', '-copyts', '-noaccurate_seek', '-seek_timestamp', '1', ...READ_NO_FURTHER],
          ...(alone ? ['-threads', '1'] : []),
          ...['-ss', (from - (alone ? 0 : RUN_UP_SECONDS)).toFixed(6)],
        ],
      })),
      outputs: [output],
    },
    logs,
    options,
  );
  for (const [index, log] of logs.entries()) {
    const frames = runs[index];
    if (frames !== undefined) requireAsked(frames, log, rate, origin, layout, video);
  }
}

/** Throws FetchError unless a log shows just the frames of a run. */
function requireAsked(
  { first, count }: FrameRun,
  log: FrameLog,
  rate: Rational,
  origin: Origin,
  layout: SampleLayout,
  video: VideoFacts,
): void {
  requireFormat(log.first, layout, video);
  const { timeBase } = stampOf(log);
  if (timeBase.num !== origin.timeBase.num || timeBase.den !== origin.timeBase.den) {
    throw new FetchError('its time stamps change their unit');
  }
  const stamps = log.timestamps?.ticks ?? [];
  const isAsked = stamps.every((ticks, i) => isStampOf(first + i, ticks - origin.ticks, timeBase, rate));
  if (log.changes.length > 0 || stamps.length !== count || !isAsked)
    throw new FetchError('another frame came');
}

function rawOutput(
  frames: number,
  picture: readonly string[],
  layout: SampleLayout,
  { pipe }: FetchOptions,
): FfmpegCommand['outputs'][number] {
  return {
    path: pipe,
    options: [
      ...picture,
      ...[
        '-fps_mode',
        'passthrough',
        '-frames:v',
        String(frames),
        '-c:v',
        'rawvideo',
        '-pix_fmt',
        layout.readAs,
        '-f',
        'rawvideo',
      ],
    ],
  };
}

function newLog(): FrameLog {
  return new FrameLog(`still${randomBytes(6).toString('hex')}`);
}

function requireFormat(seen: FrameFormat | null, layout: SampleLayout, video: VideoFacts): void {
  if (seen === null) throw new FetchError('no frame came');
  const found = sampleLayout(seen.pixelFormat);
  const isSame = isKnown(found) && found.readAs === layout.readAs;
  if (!isSame || seen.width !== video.width || seen.height !== video.height) {
    throw new FetchError('the frames are not of the format the file declares');
  }
}

/** Any error of the decoder is a doubt: the file had none when it was measured. */
async function run(
  command: FfmpegCommand,
  logs: readonly FrameLog[],
  { tools, signal }: FetchOptions,
): Promise<FfmpegResult> {
  const result = await runFfmpeg(command, {
    tools,
    signal,
    stallTimeoutMs: STALL_MS,
    onLine: (line) => {
      for (const log of logs) if (log.read(line)) return;
    },
  });
  if (result.killedBy !== null) throw new FetchError(`ffmpeg was ended (${result.killedBy})`);
  if (result.exitCode !== 0 || result.errorCount > 0) {
    throw new FetchError(`ffmpeg: ${result.errors.at(-1) ?? `exit code ${result.exitCode ?? 'none'}`}`);
  }
  return result;
}
