import type { FrameRange } from '../measurement/frame-range.js';
import { count } from './numbers.js';

/**
 * A place in a file: `10:00:01:00 to 10:00:01:05 (5 frames from frame 25)`. Half open everywhere, as in an
 * edit list: the second timecode is the first frame after the place, so that end minus start is the length.
 * Frames are therefore given by first frame and number.
 */
export function placeText({ from, to, fromTimecode, toTimecode }: FrameRange): string {
  const frames = to - from;
  if (frames <= 1) return startText({ from, fromTimecode });
  const frameText = `${count(frames, 'frame')} from frame ${from}`;
  return fromTimecode === null || toTimecode === null
    ? frameText
    : `${fromTimecode} to ${toTimecode} (${frameText})`;
}

/** One frame, or the start of a place: `10:00:01:00 (frame 25)`. */
export function startText({ from, fromTimecode }: Pick<FrameRange, 'from' | 'fromTimecode'>): string {
  return fromTimecode === null ? `frame ${from}` : `${fromTimecode} (frame ${from})`;
}

/** `, first at 10:00:01:05 (frame 30)`; nothing where there is no place. */
export function firstPlace(ranges: readonly FrameRange[]): string {
  const [first] = ranges;
  return first === undefined ? '' : `, first at ${startText(first)}`;
}

/** `none`, or how many frames in how many places, and the first of them. */
export function placesText(found: {
  readonly places: number;
  readonly frames?: number;
  readonly ranges: readonly FrameRange[];
}): string {
  if (found.places === 0) return 'none';
  const frames = found.frames === undefined ? '' : `${count(found.frames, 'frame')} in `;
  return `${frames}${count(found.places, 'place')}${firstPlace(found.ranges)}`;
}

/**
 * The first places in words, then how many more there are, then whether there may be others that are not
 * listed.
 */
export function placeList(
  { at, everyPlace }: { readonly at: readonly FrameRange[]; readonly everyPlace: boolean },
  most: number,
): string[] {
  const more = at.length - most;
  return [
    ...at.slice(0, most).map(placeText),
    ...(more > 0 ? [`and ${count(more, 'more place')}`] : []),
    ...(at.length > 0 && !everyPlace ? ['and perhaps elsewhere'] : []),
  ];
}
