import type { Rational } from '../../../signal/rational.js';
import type { Timestamps } from '../decoding/timeline.js';
import { COLUMN_NAMES, type FrameColumns } from '../picture/recording/picture-totals.js';
import type { FrameLog } from '../reading/frame-log.js';
import { isStampOf } from '../reading/frame-stamp.js';
import type { PictureAnswer } from '../reading/measure-threads.js';
import type { PartRange } from './part-ranges.js';

export type DonePart = Extract<PictureAnswer, { kind: 'done' }>;

/** Result of one part. */
export interface MeasuredPart {
  readonly range: PartRange;
  /** Whether it runs to the end of the file. */
  readonly isLast: boolean;
  /** All decoded frames, including the lead-in. */
  readonly shown: FrameLog;
  /** The frames that were measured. */
  readonly frameLog: FrameLog;
  readonly answer: DonePart;
}

/** How frames are numbered by their time stamps. */
export interface FrameNumbering {
  /** Time stamp of the file's first frame. */
  readonly origin: { readonly ticks: number; readonly timeBase: Rational };
  readonly rate: Rational;
}

/**
 * Why a part may not be exactly the expected frames, measured as in one go; null when there is no doubt.
 * Every frame must have the time stamp of its number, and be an intra picture as reported by the decoder.
 */
export function partDoubt(part: MeasuredPart, numbering: FrameNumbering): string | null {
  const { range, isLast, shown, frameLog, answer } = part;
  const { totals, read } = answer;
  if (read.silent || read.leftover > 0 || read.frames !== shown.frames || totals.frames !== frameLog.frames) {
    return 'not every frame was measured';
  }
  const expected = range.lead + range.to - range.from;
  if (isLast ? frameLog.frames === 0 : shown.frames !== expected) {
    return `${shown.frames} frames were decoded instead of ${expected}`;
  }
  if (shown.changes.length > 0) return 'the format changes';
  const { typed, key, intra } = shown.pictures;
  if (typed !== shown.frames || key !== typed || intra !== typed)
    return 'not every frame is an intra picture';
  const { timestamps } = shown;
  if (timestamps === null) return 'not every frame has a time stamp';
  return stampDoubt(timestamps, range.from - range.lead, numbering);
}

function stampDoubt(
  { ticks, timeBase }: Timestamps,
  first: number,
  { origin, rate }: FrameNumbering,
): string | null {
  if (timeBase.num !== origin.timeBase.num || timeBase.den !== origin.timeBase.den) {
    return 'the time stamps change their unit';
  }
  const stray = ticks.findIndex((tick, i) => !isStampOf(first + i, tick - origin.ticks, timeBase, rate));
  return stray < 0 ? null : `frame ${first + stray} does not carry the time stamp of its number`;
}

/**
 * Why a part does not continue the previous ones; null when it does. Its lead-in is the end of the previous
 * part: these frames must have the same times and exactly the same figures.
 */
export function seamDoubt(
  before: { readonly frameLog: FrameLog; readonly columns: FrameColumns },
  { range, shown, answer }: MeasuredPart,
): string | null {
  const seam = `at frame ${range.from}`;
  const from = range.from - range.lead;
  if (before.frameLog.frames !== range.from) return `the parts do not meet ${seam}`;
  const earlier = before.frameLog.timestamps?.ticks.subarray(from);
  const again = shown.timestamps?.ticks.subarray(0, range.lead);
  if (!earlier || !again || !isSame(earlier, again)) return `other frames precede the seam ${seam}`;
  const differing = COLUMN_NAMES.find(
    (name) => !isSame(before.columns[name].subarray(from), answer.lead[name]),
  );
  if (differing !== undefined) return `the same frame has another ${differing} after the seam ${seam}`;
  const { first } = before.frameLog;
  const format = shown.first;
  const isOne =
    first?.pixelFormat === format?.pixelFormat &&
    first?.width === format?.width &&
    first?.height === format?.height;
  return isOne ? null : `the format changes ${seam}`;
}

/** To the last bit; NaN is the same as NaN. */
function isSame(a: Float64Array, b: Float64Array): boolean {
  return a.length === b.length && a.every((value, i) => Object.is(value, b[i]));
}
