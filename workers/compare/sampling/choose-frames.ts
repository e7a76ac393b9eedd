/** Places of a long file that are looked at. */
const MOST_PLACES = 12;
const FEWEST_PLACES = 3;
/** One frame of so many is looked at, within those bounds. */
const FRAMES_PER_PLACE = 25;
/** Raw frames lie on the disk until they are compared: no more than this. */
export const MOST_BYTES = 512 * 2 ** 20;
/** Of each place: the original's frame and the copy's three. */
const FRAMES_OF_A_PLACE = 4;

/** Frames by their numbers, in rising order. */
export interface ChosenFrames {
  /** Those that are compared. */
  readonly frames: readonly number[];
  /** What is taken of the copy: each with the frame before and the frame after. */
  readonly copy: readonly number[];
  /**
   * What is taken of the original, of which frame n of the copy was made; three of each place where fields
   * are made frames. Null where its first or last frames are among them: a filter begins and ends otherwise.
   */
  readonly original: readonly number[] | null;
}

/**
 * Frames to compare, spread evenly over what both files have; all of a very short one.
 *
 * @param both frames that both have
 * @param ofCopy frames the copy has
 * @param bytes of one raw frame
 * @param deinterlace whether a frame of the copy was made of three
 */
export function chooseFrames(
  both: number,
  {
    ofCopy,
    bytes,
    deinterlace,
  }: { readonly ofCopy: number; readonly bytes: number; readonly deinterlace: boolean },
): ChosenFrames {
  const frames = placesIn(both, bytes);
  const copy = [...new Set(frames.flatMap((frame) => around(frame, ofCopy)))];
  const original = deinterlace ? frames.flatMap((frame) => [frame - 1, frame, frame + 1]) : frames;
  const isShort =
    original.some((frame) => frame < 0 || frame >= both) || new Set(original).size < original.length;
  return { frames, copy, original: isShort ? null : original };
}

function placesIn(frames: number, bytes: number): number[] {
  const room = Math.max(1, Math.floor(MOST_BYTES / (bytes * FRAMES_OF_A_PLACE)));
  const wanted = Math.min(MOST_PLACES, Math.max(FEWEST_PLACES, Math.round(frames / FRAMES_PER_PLACE)));
  const places = Math.min(frames, wanted, room);
  return Array.from({ length: places }, (_, index) => Math.floor(((index + 0.5) / places) * frames));
}

/** The frame before, the frame itself and the frame after, as far as there are any. */
function around(frame: number, frames: number): number[] {
  return [frame - 1, frame, frame + 1].filter((each) => each >= 0 && each < frames);
}
