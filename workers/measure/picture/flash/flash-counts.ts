import type { FirstChange } from './first-change.js';
import { framesBeforeCut, HARMFUL_AREA, MOST_MOTION } from './rules.js';

/** How the screen as a whole changed, frame by frame: see StepChanges. */
export interface ScreenChanges {
  readonly area: Float64Array;
  readonly net: Float64Array;
  readonly pair: Float64Array;
}

/** What was counted of the second that ends with each frame. */
export interface SecondChanges {
  readonly changes: Float64Array;
  /**
   * Part of the screen that changed in each frame, or in it and the one before where these make one change.
   */
  readonly area: Float64Array;
}

/**
 * Changes in the second that ends with each frame that take in more than a quarter of the screen at once. Two
 * kinds, of which the one with more counts: the screen becomes brighter or darker by more than a quarter of
 * it, wherever (where as much falls as rises, as in a pan, it does neither); and places that change and
 * change back together, whichever way each of them goes, with a rest in between.
 *
 * @param first counts in the seconds in which it was complete in truth
 */
export function changesPerSecond(
  screen: ScreenChanges,
  second: number,
  pixels: number,
  first: FirstChange | null,
): SecondChanges {
  const ups = wholeChanges(screen.net, pixels);
  const downs = wholeChanges(
    screen.net.map((net) => -net),
    pixels,
  );
  const from = (frame: number): number =>
    isBefore(first, frame, second) ? first.frame + 1 : Math.max(frame - second + 1, 0);
  const paired = pairedChanges(screen.pair, second, from);
  return {
    changes: paired.map((changes, frame) => Math.max(alternations(ups, downs, from(frame), frame), changes)),
    area: screen.area.map((area, frame) => Math.max(area, ups[frame] ?? 0, downs[frame] ?? 0)),
  };
}

/** Whether the second that ends with a frame shows the first change, which in truth was before it. */
export function isBefore(first: FirstChange | null, frame: number, second: number): first is FirstChange {
  if (first === null) return false;
  const from = frame - second + 1;
  return first.since < from && from <= first.frame && first.frame <= frame;
}

/** Changes in the frames `[from, to]`, each opposite to the one before. */
function alternations(ups: Float64Array, downs: Float64Array, from: number, to: number): number {
  let changes = 0;
  let last = 0;
  for (let frame = from; frame <= to; frame++) {
    const way = (ups[frame] ?? 0) > 0 ? 1 : (downs[frame] ?? 0) > 0 ? -1 : 0;
    if (way === 0 || way === last) continue;
    changes++;
    last = way;
  }
  return changes;
}

/**
 * Changes upwards that come to more than a quarter of the screen, as their area: within a frame, or with what
 * was left of the frame before, since a flash of a live picture often takes two frames to rise. A quarter
 * exactly is not more than a quarter, which is why areas are counted in whole pixels.
 */
function wholeChanges(net: Float64Array, pixels: number): Float64Array {
  const isOver = (area: number): boolean => area > HARMFUL_AREA * pixels;
  let left = 0;
  return net.map((share) => {
    const area = Math.max(Math.round(share * pixels), 0);
    const together = isOver(area) ? area : area + left;
    left = isOver(together) ? 0 : area;
    return isOver(together) ? Math.min(together / pixels, 1) : 0;
  });
}

/**
 * Changes in the second that ends with each frame that belong to pairs, one pair after another: each place
 * has its own pair.
 */
function pairedChanges(pair: Float64Array, second: number, firstOf: (frame: number) => number): Float64Array {
  const closings = [...pair.keys()].filter((frame) => (pair[frame] ?? 0) > 0);
  let first = 0;
  return Float64Array.from(pair, (_, frame) => {
    const from = firstOf(frame);
    while (first < closings.length && (closings[first] ?? 0) < from) first++;
    let changes = 0;
    let last = from - 1;
    for (let i = first; i < closings.length; i++) {
      const closing = closings[i] ?? 0;
      if (closing >= frame + second) break;
      const leading = closing - (pair[closing] ?? 0);
      // A flash counts from its leading edge on, though its answer may come after this second.
      if (leading <= last || leading > frame) continue;
      changes += closing <= frame ? 2 : 1;
      last = closing;
    }
    return changes;
  });
}

/**
 * Turns of the light of the screen of which the cells hide a good deal, in the second that ends with each
 * frame.
 *
 * @param light mean luminance of the pixels, which turns by `least` or more
 * @param hidden what the cells miss of it, which turns by half of that in the same second
 */
export function hiddenTurnsPerSecond(
  { light, hidden }: { readonly light: Float64Array; readonly hidden: Float64Array },
  least: number,
  second: number,
): Float64Array {
  const shown = turnsPerSecond(light, least, second);
  const missed = turnsPerSecond(hidden, least / 2, second);
  return shown.map((turns, frame) => Math.min(turns, missed[frame] ?? 0));
}

function turnsPerSecond(figure: Float64Array, least: number, second: number): Float64Array {
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
  return perSecond(turned, second);
}

/**
 * Frames in the second that ends with each frame in which detail changed over more than a quarter of the
 * screen: after a rest, since detail in motion changes in every frame; or all of it as much as can be, which
 * detail in motion does not.
 *
 * @param rest frames in which detail must have been still, or nearly, before
 */
export function fineChangesPerSecond(
  { changed, turned }: { readonly changed: Float64Array; readonly turned: Float64Array },
  rest: number,
  second: number,
): Float64Array {
  const isStep = (frame: number): boolean => {
    const area = changed[frame] ?? 0;
    if (!(area > HARMFUL_AREA)) return false;
    if ((turned[frame] ?? 0) > HARMFUL_AREA) return true;
    for (let before = Math.max(frame - rest, 0); before < frame; before++) {
      if ((changed[before] ?? 0) > area / 2) return false;
    }
    return true;
  };
  return perSecond(
    Uint8Array.from(changed, (_, frame) => (isStep(frame) ? 1 : 0)),
    second,
  );
}

/** Part of the larger of two changes in a row that the smaller has where an edit is blended over both. */
const BLENDED = 1 / 3;

/**
 * Cuts in the second that ends with each frame at which more than a quarter of the screen changes, whichever
 * way: places that change now here, now there make fewer flashes each than there are cuts. BT.1702-3 takes
 * rapid cuts for flashes where they make areas flash; whether they do is not for us to decide.
 *
 * @param area see CutArea: of the frame, or of it and the next, over which an edit may be blended
 * @param motion how much the picture changes in all, by which a cut differs from anything that moves
 */
export function cutsPerSecond(
  { area, motion }: { readonly area: Float64Array; readonly motion: Float64Array },
  second: number,
): Float64Array {
  const calm = framesBeforeCut(second);
  const moved = (frame: number): number => motion[frame] ?? 0;
  const isCalm = (from: number, to: number, most: number): boolean =>
    motion.subarray(Math.max(from, 0), to).every((before) => before <= most);
  const isCut = (frame: number): boolean => {
    // The frame before a cut, and what only goes on moving.
    if (moved(frame) < BLENDED * moved(frame + 1) || moved(frame) === 0) return false;
    if (isCalm(frame - calm, frame, MOST_MOTION * moved(frame))) return true;
    const isBlended = moved(frame + 1) >= BLENDED * moved(frame);
    return isBlended && isCalm(frame - Math.max(calm - 1, 1), frame, moved(frame) / 2);
  };
  // What a cut before had to take of this frame is not counted again.
  let isTaken = false;
  const cuts = Uint8Array.from(area, (changed, frame) => {
    const own = isTaken ? 0 : changed;
    isTaken = false;
    if (!(own + (area[frame + 1] ?? 0) > HARMFUL_AREA) || !isCut(frame)) return 0;
    isTaken = !(own > HARMFUL_AREA);
    return 1;
  });
  return perSecond(cuts, second);
}

function perSecond(happens: Uint8Array, second: number): Float64Array {
  let sum = 0;
  return Float64Array.from(happens, (now, frame) => {
    sum += now - (frame >= second ? (happens[frame - second] ?? 0) : 0);
    return sum;
  });
}
