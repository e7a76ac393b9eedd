import { GoodgateError } from '../../jobs/errors.js';
import type { ScanName } from '../../jobs/manifest/colour.js';
import { faultError, ffmpegFault } from '../ffmpeg/fault.js';
import { runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import type { ProbeOptions } from './run-ffprobe.js';

/** Frames examined, from the head: some seconds, most of which have motion. */
const FRAMES = 250;
const TIMEOUT_MS = 120_000;
/** Least number of frames with a clear result. */
const LEAST_FRAMES = 3;
/** A field order is accepted where this many times as many frames show it as show the opposite. */
const CLEAR = 4;
/**
 * Fraction of interlaced frames among those with a clear result: at least this the picture is interlaced, at
 * most the other it is progressive.
 */
const SOME_FIELDS = 0.25;
const NO_FIELDS = 0.02;

/** How many frames look interlaced (by field order) or progressive, by their motion. */
export interface MotionVotes {
  readonly top: number;
  readonly bottom: number;
  readonly progressive: number;
}

/** The scan that the motion shows; null where there is too little motion, or no clear result. */
export function scanOfMotion({ top, bottom, progressive }: MotionVotes): ScanName | null {
  const fields = top + bottom;
  const clear = fields + progressive;
  if (clear < LEAST_FRAMES) return null;
  if (fields <= NO_FIELDS * clear) return 'progressive';
  return fields >= SOME_FIELDS * clear ? orderOfMotion({ top, bottom }) : null;
}

/** Which field comes first in a picture known to be interlaced; null where the motion does not show it. */
export function orderOfMotion({ top, bottom }: Pick<MotionVotes, 'top' | 'bottom'>): ScanName | null {
  if (top >= LEAST_FRAMES && top >= CLEAR * bottom) return 'interlaced-tff';
  if (bottom >= LEAST_FRAMES && bottom >= CLEAR * top) return 'interlaced-bff';
  return null;
}

/**
 * Detects interlacing from the motion of the first frames (ffmpeg's `idet`, luma only), whatever their flags
 * declare: chroma that was upsampled without regard for fields would give a wrong result. Used only where the
 * layers of a file contradict each other, since it decodes. Null where nothing can be decoded.
 *
 * Throws GoodgateError: `interrupted`, `missing-tool`, `ffmpeg-failed` and `ffmpeg-timeout` where ffmpeg
 * itself failed.
 */
export async function votesOfMotion(
  path: string,
  stream: number,
  { signal, tools }: ProbeOptions,
): Promise<MotionVotes | null> {
  let votes: MotionVotes | null = null;
  const result = await runFfmpeg(
    {
      inputs: [{ path, options: [] }],
      outputs: [
        {
          path: '-',
          options: [
            ...['-map', `0:${stream}`, '-frames:v', String(FRAMES), '-fps_mode', 'passthrough'],
            ...['-filter:v', 'format=gray,idet=half_life=0', '-f', 'null'],
          ],
        },
      ],
    },
    {
      signal,
      tools,
      timeoutMs: TIMEOUT_MS,
      // A filter that is reinitialised prints a result at its end too, without any frames: the last result
      // with frames counts.
      onLine: (line) => {
        const read = readVotes(line);
        if (read !== null && read.top + read.bottom + read.progressive > 0) votes = read;
      },
    },
  );
  if (result.killedBy === 'abort') {
    throw new GoodgateError('interrupted', {
      what: 'stopped while detecting the scan from motion',
      where: path,
    });
  }
  const fault = ffmpegFault(result);
  if (fault !== null && !fault.blamesFile) throw faultError('ffmpeg', fault, path);
  return votes;
}

function readVotes(line: string): MotionVotes | null {
  const found = /Multi frame detection: TFF: *(\d+) BFF: *(\d+) Progressive: *(\d+)/.exec(line);
  if (found === null) return null;
  const [, top, bottom, progressive] = found;
  return { top: Number(top), bottom: Number(bottom), progressive: Number(progressive) };
}
