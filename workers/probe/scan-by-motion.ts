import { GoodgateError } from '../../jobs/errors.js';
import type { ScanName } from '../../jobs/manifest/colour.js';
import { faultError, ffmpegFault } from '../ffmpeg/fault.js';
import { runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import type { ProbeOptions } from './run-ffprobe.js';

/** Pictures looked at, from the head: some seconds, most of which move. */
const FRAMES = 250;
const TIMEOUT_MS = 120_000;
/** Frames that must tell before anything is believed. */
const LEAST_FRAMES = 3;
/** An order is told where this many times as many frames say so as say the opposite. */
const CLEAR = 4;
/**
 * Share of fields among the frames that tell: from here on the picture is interlaced, up to there it is
 * progressive.
 */
const SOME_FIELDS = 0.25;
const NO_FIELDS = 0.02;

/** How many frames look like what, by how their lines move. */
export interface MotionVotes {
  readonly top: number;
  readonly bottom: number;
  readonly progressive: number;
}

/** What the motion tells of the scan; null where there is too little of it, or it speaks for both. */
export function scanOfMotion({ top, bottom, progressive }: MotionVotes): ScanName | null {
  const fields = top + bottom;
  const told = fields + progressive;
  if (told < LEAST_FRAMES) return null;
  if (fields <= NO_FIELDS * told) return 'progressive';
  return fields >= SOME_FIELDS * told ? orderOfMotion({ top, bottom }) : null;
}

/** Which field comes first in a picture known to be interlaced; null where the motion does not tell. */
export function orderOfMotion({ top, bottom }: Pick<MotionVotes, 'top' | 'bottom'>): ScanName | null {
  if (top >= LEAST_FRAMES && top >= CLEAR * bottom) return 'interlaced-tff';
  if (bottom >= LEAST_FRAMES && bottom >= CLEAR * top) return 'interlaced-bff';
  return null;
}

/**
 * Looks at how the luma of the first pictures moves, line by line against the frames before and after
 * (ffmpeg's `idet`), whatever their flags say: chroma that was once sampled up without regard for fields
 * votes for the wrong one. Asked only where the layers of a file contradict one another: it decodes. Null
 * where nothing can be decoded.
 *
 * Throws GoodgateError: `interrupted`, `missing-tool`, `ffmpeg-failed` and `ffmpeg-timeout` where it was not
 * the file.
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
      // A filter that is set up anew speaks at its end too, and has seen nothing: the last that saw something
      // counts.
      onLine: (line) => {
        const read = readVotes(line);
        if (read !== null && read.top + read.bottom + read.progressive > 0) votes = read;
      },
    },
  );
  if (result.killedBy === 'abort') {
    throw new GoodgateError('interrupted', { what: 'stopped while looking at motion', where: path });
  }
  const fault = ffmpegFault(result);
  if (fault !== null && !fault.speaksOfFile) throw faultError('ffmpeg', fault, path);
  return votes;
}

function readVotes(line: string): MotionVotes | null {
  const found = /Multi frame detection: TFF: *(\d+) BFF: *(\d+) Progressive: *(\d+)/.exec(line);
  if (found === null) return null;
  const [, top, bottom, progressive] = found;
  return { top: Number(top), bottom: Number(bottom), progressive: Number(progressive) };
}
