import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import type { Region } from '../../jobs/requirements/region.js';
import { count } from '../../jobs/words/numbers.js';
import { placeText } from '../../jobs/words/places.js';
import { parseRational, type Rational } from '../../signal/rational.js';
import {
  frameOfTimecode,
  framesPerDay,
  nominalRate,
  parseTimecode,
  type Timecode,
} from '../../signal/timecode.js';
import { framesAt, joinRanges } from './place.js';

/** What a timecode of a file is counted by. */
export interface Clock {
  readonly frameRate: string | null;
  readonly startTimecode: string | null;
}

export type RegionReading =
  | { readonly frames: readonly FrameRange[]; readonly reason: null }
  | { readonly frames: null; readonly reason: string };

/**
 * The frames of a measured file that lie in any of the regions, ordered, without overlaps. A region that
 * reaches beyond the programme is cut there. Returns a reason where all regions lie outside the programme or
 * a timecode does not exist in the file.
 */
export function readRegions(regions: readonly Region[], measurement: Measurement): RegionReading {
  const { video } = measurement;
  if (video === null) return refuse('the file has no picture, so regions cannot be found');
  const clock: Clock = { frameRate: video.frameRate, startTimecode: measurement.container.startTimecode };
  const found: FrameRange[] = [];
  for (const region of regions) {
    const edges = edgesOf(region, clock);
    if (typeof edges === 'string') return refuse(edges);
    const clipped = [Math.max(0, edges.from), Math.min(video.frames, edges.to)] as const;
    if (clipped[0] < clipped[1]) found.push(framesAt(measurement, clipped[0], clipped[1]));
  }
  if (found.length === 0) {
    return refuse(
      `${regions.map(formatRegion).join(', ')} lies outside the ${count(video.frames, 'frame')} of the file`,
    );
  }
  return { frames: joinRanges(found), reason: null };
}

/**
 * Why no frame of a programme lies in a region; null where some do, or it cannot be known yet.
 *
 * @param frames of the programme, null where unknown
 */
export function whyOutside(region: Region, frames: number | null, clock: Clock): string | null {
  const edges = edgesOf(region, clock);
  if (typeof edges === 'string') return edges;
  if (frames === null || (edges.from < frames && edges.to > 0)) return null;
  return `${formatRegion(region)} lies outside the ${count(frames, 'frame')} of the file`;
}

function edgesOf(region: Region, clock: Clock): { from: number; to: number } | string {
  const from = edgeOf(region.from, Number.NEGATIVE_INFINITY, clock);
  if (typeof from === 'string') return from;
  const to = edgeOf(region.to, Number.POSITIVE_INFINITY, clock);
  if (typeof to === 'string') return to;
  return to <= from ? `${formatRegion(region)} ends before it begins` : { from, to };
}

/** `10:00:00:00 to 10:02:00:00`, `250 frames from frame 0`, `from 10:00:00:00 on`. */
export function formatRegion({ from, to }: Region): string {
  const word = (edge: string | number): string => (typeof edge === 'number' ? `frame ${edge}` : edge);
  if (from === undefined) return to === undefined ? 'everywhere' : `up to ${word(to)}`;
  if (to === undefined) return `from ${word(from)} on`;
  if (typeof from === 'number' && typeof to === 'number' && from < to)
    return placeText({ from, to, fromTimecode: null, toTimecode: null });
  return `${word(from)} to ${word(to)}`;
}

/**
 * The frame of this edge, which may lie before the first or after the last frame of the file; or why there is
 * none.
 */
function edgeOf(
  edge: string | number | undefined,
  open: number,
  { frameRate, startTimecode }: Clock,
): number | string {
  if (edge === undefined) return open;
  if (typeof edge === 'number') return edge;
  const rate = parseRational(frameRate ?? '');
  if (rate === null) return 'the file declares no frame rate, so its timecode cannot be counted';
  if (startTimecode === null) return `the file has no timecode, so ${edge} cannot be found`;
  const start = parseTimecode(startTimecode, rate);
  if (start.timecode === null) return `the file's own timecode is not valid: ${start.reason}`;
  const label = readLabel(edge, rate, start.timecode.dropFrame);
  if (typeof label === 'string') return label;
  const day = framesPerDay(rate, start.timecode.dropFrame);
  const [at, first] = [frameOfTimecode(label), frameOfTimecode(start.timecode)];
  // A programme that starts in the second half of the day may run past midnight, where timecode starts again
  // from zero.
  return at - first + (first >= day / 2 && at < day / 2 ? day : 0);
}

/**
 * A timecode in the count of the file. The author of a target cannot know whether a file uses drop frame: so
 * colons mean the count of the file, and a label that drop frame skips means the next one.
 */
function readLabel(text: string, rate: Rational, dropFrame: boolean): Timecode | string {
  const isDrop = /[;.,]/.test(text);
  if (isDrop && !dropFrame) return `${text} is a drop-frame timecode, and the file is not drop frame`;
  const digits = text.replace(/[;.,]/g, ':');
  if (!dropFrame) {
    const { timecode, reason } = parseTimecode(digits, rate);
    return timecode ?? reason;
  }
  const [head, tail] = [digits.slice(0, digits.lastIndexOf(':')), digits.slice(digits.lastIndexOf(':') + 1)];
  const nominal = nominalRate(rate) ?? 0;
  for (let frames = Number(tail); frames < nominal; frames += 1) {
    const { timecode } = parseTimecode(`${head};${String(frames).padStart(2, '0')}`, rate);
    if (timecode !== null) return timecode;
  }
  return parseTimecode(`${head};${tail}`, rate).reason ?? `${text} is no timecode of this file`;
}

function refuse(reason: string): RegionReading {
  return { frames: null, reason };
}
