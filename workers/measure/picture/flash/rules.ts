import type { Rational } from '../../../../signal/rational.js';

/**
 * The figures of ITU-R BT.1702-3 (11/2023), Annex 1, Guideline 1. A flash is a pair of opposing changes of
 * luminance, each of 20 cd/m2 or more, the darker image below 160 cd/m2. For HDR a change counts above that
 * too, when its Michelson contrast is more than 1/17, which is that of 20 cd/m2 on 160. A transition
 * to or from a saturated red counts whatever its luminance.
 */
export const LEAST_CHANGE_NITS = 20;
export const DARKER_BELOW_NITS = 160;
/** Flashes are harmful when they cover more than this part of the displayed screen at once ... */
export const HARMFUL_AREA = 0.25;
/** ... and there are more than three of them in any one second. */
export const MOST_FLASHES = 3;
/** The standard warns of longer sequences even where they comply. */
export const SUSTAINED_SECONDS = 5;

/**
 * More changes than this are more than three flashes. Seven changes have four leading edges, and with frames
 * of 25 Hz four leading edges lie within one second exactly when they are less than 9 frames apart, with
 * frames of 29.97 Hz less than 10: the spacing at which the standard calls flashes acceptable. So a flash
 * counts from its leading edge on.
 */
export const MOST_CHANGES = 2 * MOST_FLASHES;

export type ChangeRule = (darker: number, brighter: number) => boolean;

/** Whether a cell that goes between two luminances, cd/m2, in either direction makes half a flash. */
export function isSdrChange(darker: number, brighter: number): boolean {
  return darker < DARKER_BELOW_NITS && brighter - darker >= LEAST_CHANGE_NITS;
}

export function isHdrChange(darker: number, brighter: number): boolean {
  if (darker < DARKER_BELOW_NITS) return brighter - darker >= LEAST_CHANGE_NITS;
  // (b - d) / (b + d) > 1/17, without the division.
  return 8 * brighter > 9 * darker;
}

/**
 * BT.1702 gives no figure for a saturated red. The working definition of WCAG 2.1 (note to "general flash and
 * red flash thresholds", after Harding and Binnie 2002) is used: R / (R + G + B) of at least 0.8 in one of
 * the two states, and a change of (R - G - B) x 320, negative values taken as 0, of more than 20. R, G, B are
 * linear, of BT.709, 1 at white. WCAG 2.2 has put a distance of chromaticities in the place of the second
 * condition; black has no chromaticity, so that red on black, the plainest red flash, would be left to
 * chance.
 */
export const SATURATED_RED_SHARE = 0.8;
export const RED_SCALE = 320;
export const LEAST_RED_CHANGE = 20;
export const SATURATED_RED_TEXT =
  'R/(R+G+B) of 0.8 or more in either state and a change of (R-G-B)x320 of more than 20, linear BT.709, 1 at 200 cd/m2: the working definition of WCAG 2.1, since BT.1702 gives no figure';

/** Frames that begin within any one second, the first at its start: 25 at 25 Hz, 30 at 30000/1001. */
export function secondFrames(rate: Rational): number {
  return Math.ceil(rate.num / rate.den);
}

/**
 * Frames in which almost nothing may change between two changes of the same places, where as much of the
 * screen becomes brighter as darker: otherwise a moving pattern would count as flicker. Film in video of 50
 * or 60 frames has up to two such frames between its pictures (common practice, no source).
 */
export function restFrames(second: number): number {
  return second > 30 ? 3 : 1;
}

/**
 * Frames that must be calmer before a cut: more than lie between drawings on twos, of which there are twelve
 * a second (common practice, no source), so that a pan over them is no run of cuts. Cuts that follow faster
 * turn places often enough to be counted by place.
 */
export function framesBeforeCut(second: number): number {
  return Math.max(Math.floor(second / 12), 1);
}

/**
 * Between two changes the codes of the picture may change by at most this part of either: a moving pattern
 * changes them equally in every frame.
 */
export const MOST_MOTION = 0.75;
