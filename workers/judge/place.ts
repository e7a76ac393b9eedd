import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import { parseRational } from '../../signal/rational.js';
import { advanceTimecode, formatTimecode, parseTimecode } from '../../signal/timecode.js';

/** Frames `[from, to)` of a measured file, with the labels of its own timecode where it has one. */
export function framesAt(measurement: Measurement, from: number, to: number): FrameRange {
  const { startTimecode } = measurement.container;
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const start = startTimecode === null || rate === null ? null : parseTimecode(startTimecode, rate).timecode;
  const label = (frame: number): string | null =>
    start === null ? null : formatTimecode(advanceTimecode(start, frame));
  return { from, to, fromTimecode: label(from), toTimecode: label(to) };
}

/** Only the frames and timecodes of a place. */
export function plainRange({ from, to, fromTimecode, toTimecode }: FrameRange): FrameRange {
  return { from, to, fromTimecode, toTimecode };
}

/** Where the measurement saw events of these kinds. */
export function eventsOf(measurement: Measurement, ...kinds: readonly string[]): FrameRange[] {
  return measurement.events.filter(({ kind }) => kinds.includes(kind)).map(plainRange);
}

/** The parts of `ranges` that lie in `frames`; both half open. */
export function intersect(
  measurement: Measurement,
  ranges: readonly FrameRange[],
  frames: readonly FrameRange[],
): FrameRange[] {
  return ranges.flatMap((range) =>
    frames.flatMap((part) => {
      const from = Math.max(range.from, part.from);
      const to = Math.min(range.to, part.to);
      return from < to ? [framesAt(measurement, from, to)] : [];
    }),
  );
}

/**
 * The ranges cut to the judged parts, with their other fields; for null (the whole programme) all of them as
 * they are.
 */
export function inParts<R extends FrameRange>(
  measurement: Measurement,
  ranges: readonly R[],
  parts: readonly FrameRange[] | null,
): R[] {
  if (parts === null) return [...ranges];
  return ranges.flatMap((range) =>
    intersect(measurement, [range], parts).map((part) => ({ ...range, ...part })),
  );
}

/**
 * Ranges in order, with those that touch or overlap joined: 4,000 bad frames in a row are one place. `gap`
 * joins also those at most so many frames apart.
 */
export function joinRanges(ranges: readonly FrameRange[], gap = 0): FrameRange[] {
  const joined: FrameRange[] = [];
  for (const range of [...ranges].sort((a, b) => a.from - b.from || a.to - b.to)) {
    const last = joined.at(-1);
    if (last === undefined || range.from > last.to + gap) joined.push({ ...range });
    else if (range.to > last.to) {
      last.to = range.to;
      last.toTimecode = range.toTimecode;
    }
  }
  return joined;
}
