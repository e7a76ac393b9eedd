import { GoodgateError } from '../../jobs/errors.js';
import { type ProbedFrame, probedFrames } from './ffprobe-output.js';
import { type ProbeOptions, runFfprobe } from './run-ffprobe.js';

/** Packets that are decoded at each place. */
export const PACKETS = 3;

/**
 * Frames at the head, and in the middle where one is given, in seconds. Both come from one start of ffprobe
 * where each packet is a frame; else it cannot be told where the first end, and they are asked for apart.
 */
export async function framesAtPlaces(
  path: string,
  stream: number,
  { head, middle }: { readonly head: number; readonly middle: number | null },
  options: ProbeOptions,
): Promise<Record<'headFrames' | 'middleFrames', readonly ProbedFrame[]>> {
  const first = `%+#${head}`;
  if (middle === null)
    return { headFrames: await sampleFrames(path, stream, first, options), middleFrames: [] };
  const second = `${middle.toFixed(3)}%+#${PACKETS}`;
  if (head === PACKETS) {
    const both = await sampleFrames(path, stream, `${first},${second}`, options);
    if (both.length === 2 * PACKETS)
      return { headFrames: both.slice(0, PACKETS), middleFrames: both.slice(PACKETS) };
  }
  const [headFrames, middleFrames] = await Promise.all([
    sampleFrames(path, stream, first, options),
    sampleFrames(path, stream, second, options),
  ]);
  return { headFrames, middleFrames };
}

/**
 * Frames at one place, or two; none where seeking or decoding fails, which the measurement will detect.
 */
async function sampleFrames(
  path: string,
  stream: number,
  interval: string,
  options: ProbeOptions,
): Promise<readonly ProbedFrame[]> {
  const args = ['-select_streams', String(stream), '-read_intervals', interval, '-show_frames'];
  try {
    return (await runFfprobe(path, args, probedFrames, options)).frames;
  } catch (error) {
    if (error instanceof GoodgateError && error.code === 'unreadable-clip') return [];
    throw error;
  }
}
