import type { FrameRange } from '../../../jobs/measurement/measurement.js';
import { parseRational } from '../../../signal/rational.js';
import { advanceTimecode, formatTimecode, parseTimecode, type Timecode } from '../../../signal/timecode.js';

/** Adds timecodes to frame numbers. */
export interface FrameClock {
  /** Null where the clip has no start timecode or its rate has none. */
  timecode(frame: number): string | null;
  range(from: number, to: number): FrameRange;
}

/** @param startTimecode as in the container; @param frameRate `"30000/1001"`. */
export function frameClock(startTimecode: string | null, frameRate: string | null): FrameClock {
  const rate = frameRate === null ? null : parseRational(frameRate);
  let start: Timecode | null = null;
  if (rate !== null && rate.num > 0 && startTimecode !== null) {
    start = parseTimecode(startTimecode, rate).timecode;
  }
  const timecode = (frame: number): string | null =>
    start === null ? null : formatTimecode(advanceTimecode(start, frame));
  return {
    timecode,
    range: (from, to) => ({ from, to, fromTimecode: timecode(from), toTimecode: timecode(to) }),
  };
}

/** Runs of frames for which `holds` is true, half open. */
export function runsOf(frames: number, holds: (frame: number) => boolean): { from: number; to: number }[] {
  const runs: { from: number; to: number }[] = [];
  let from = -1;
  for (let frame = 0; frame <= frames; frame++) {
    const inside = frame < frames && holds(frame);
    if (inside && from < 0) from = frame;
    if (!inside && from >= 0) {
      runs.push({ from, to: frame });
      from = -1;
    }
  }
  return runs;
}
