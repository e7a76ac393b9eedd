import { randomBytes } from 'node:crypto';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import { FrameLog } from '../reading/frame-log.js';
import type { FrameNumbering } from './part-doubt.js';
import type { RunOptions } from './run-part.js';

/**
 * Time stamp of the first frame when the file is decoded from its start; null without one, or if any damage
 * is reported.
 */
export async function firstStamp(
  video: VideoFacts,
  { path, signal, tools }: RunOptions,
): Promise<FrameNumbering['origin'] | null> {
  const log = new FrameLog(`first${randomBytes(6).toString('hex')}`);
  const result = await runFfmpeg(
    {
      inputs: [{ path, options: ['-noautorotate'] }],
      outputs: [
        {
          path: '/dev/null',
          options: [
            ...['-map', `0:${video.stream}`, '-vf', `trim=end_frame=1,${log.filter}`],
            ...['-fps_mode', 'passthrough', '-frames:v', '1', '-f', 'null'],
          ],
        },
      ],
    },
    { signal, tools, stallTimeoutMs: 60_000, onLine: (line) => log.read(line) },
  );
  const stamps = log.timestamps;
  const ticks = stamps?.ticks[0];
  if (result.exitCode !== 0 || result.errorCount > 0 || !stamps || ticks === undefined) return null;
  return { ticks, timeBase: stamps.timeBase };
}
