import { HARMFUL_AREA } from './rules.js';

/** How the screen as a whole changed, frame by frame. */
export interface ScreenChanges {
  /** Part of the screen that changed upwards and downwards in each frame. */
  readonly up: Float64Array;
  readonly down: Float64Array;
  /** Most changes the same quarter of the screen made in the second that ends with each frame. */
  readonly most: Float64Array;
}

/**
 * Changes in the second that ends with each frame: those that take in more than a quarter of the screen at once, wherever they are, or
 * those one and the same part of it made at its own times, whichever are more. The first sees flashes that wander over the screen,
 * the second parts that flash in turn.
 */
export function changesPerSecond(
  { up, down, most }: ScreenChanges,
  second: number,
  pixels: number,
): Float64Array {
  const ups = wholeChanges(up, pixels);
  const downs = wholeChanges(down, pixels);
  return most.map((same, frame) => {
    let changes = 0;
    let last = 0;
    for (let at = Math.max(frame - second + 1, 0); at <= frame; at++) {
      const rises = ups[at] === 1;
      const falls = downs[at] === 1;
      // Opposing changes only, one a frame: where parts of the screen rise while others fall, it is one change.
      const way = rises && falls ? (last === 1 ? -1 : 1) : rises ? 1 : falls ? -1 : 0;
      if (way === 0 || way === last) continue;
      changes++;
      last = way;
    }
    return Math.max(changes, same);
  });
}

/**
 * Frames in which changes of one direction have come to more than a quarter of the screen: within the frame, or with what was left of the
 * frame before, since a flash of a live picture often takes two frames to rise. A quarter exactly is not more than a quarter,
 * which is why areas are counted in whole pixels.
 */
function wholeChanges(areas: Float64Array, pixels: number): Uint8Array {
  const isOver = (area: number): boolean => area > HARMFUL_AREA * pixels;
  let left = 0;
  return Uint8Array.from(areas, (share) => {
    const area = Math.round(share * pixels);
    if (isOver(area) || isOver(area + left)) {
      left = 0;
      return 1;
    }
    left = area;
    return 0;
  });
}

/** Turns of a single figure over time, each by `least` or more, in the second that ends with each frame. */
export function turnsPerSecond(figure: Float64Array, least: number, second: number): Float64Array {
  const turned = new Uint8Array(figure.length);
  let way = 0;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const [frame, now] of figure.entries()) {
    low = Math.min(low, now);
    high = Math.max(high, now);
    if (way !== 1 && now - low >= least) {
      way = 1;
      high = now;
      turned[frame] = 1;
    } else if (way !== -1 && high - now >= least) {
      way = -1;
      low = now;
      turned[frame] = 1;
    }
  }
  let turns = 0;
  return Float64Array.from(figure, (_, frame) => {
    turns += (turned[frame] ?? 0) - (frame >= second ? (turned[frame - second] ?? 0) : 0);
    return turns;
  });
}
