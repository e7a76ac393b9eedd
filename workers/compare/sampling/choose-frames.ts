/** Places of a long file that are looked at. */
const MOST_PLACES = 12;
const FEWEST_PLACES = 3;
/** One frame of so many is looked at, within those bounds. */
const FRAMES_PER_PLACE = 25;
/** Raw frames lie on the disk until they are compared: no more than this. */
const MOST_BYTES = 512 * 2 ** 20;
/** Of each place: the original's frame and the copy's three. */
const FRAMES_OF_A_PLACE = 4;

/**
 * Frames to compare, spread evenly over what both files have; all of a very short one.
 *
 * @param frames that both have
 * @param bytes of one raw frame
 */
export function chooseFrames(frames: number, bytes: number): number[] {
  const room = Math.max(1, Math.floor(MOST_BYTES / (bytes * FRAMES_OF_A_PLACE)));
  const wanted = Math.min(MOST_PLACES, Math.max(FEWEST_PLACES, Math.round(frames / FRAMES_PER_PLACE)));
  const places = Math.min(frames, wanted, room);
  return Array.from({ length: places }, (_, index) => Math.floor(((index + 0.5) / places) * frames));
}

/** The frame before, the frame itself and the frame after, as far as there are any. */
export function around(frame: number, frames: number): number[] {
  return [frame - 1, frame, frame + 1].filter((each) => each >= 0 && each < frames);
}
