import type { FrameFeatures } from '../kernel/frame-features.js';
import type { FramePlane } from '../kernel/frame-planes.js';
import type { PicturePlan } from '../plan/picture-plan.js';

/**
 * Watches frame after frame and keeps a few numbers of each. What the numbers mean over a whole programme is
 * worked out afterwards, by a pure function of the columns: a file measured in parts gives the same columns
 * end to end, and so the same answer.
 */
export interface FrameStudy<Column extends string> {
  readonly columns: readonly Column[];
  /**
   * How many frames before a frame its numbers depend on, beyond which nothing may matter. Whoever measures
   * from the middle of a file shows the study this many frames before its first (more at the start of the
   * file than there are is fine).
   */
  readonly memory: number;
  /** Frames come in order, without holes. NaN where a number does not apply. */
  observe(features: FrameFeatures): Readonly<Record<Column, number>>;
}

/** One number a frame, frame 0 first. */
export type StudyColumns<Column extends string> = Readonly<Record<Column, Float64Array>>;

/** Decoded samples of one frame. */
export interface FramePlanes {
  readonly frame: number;
  readonly plan: PicturePlan;
  readonly planes: readonly FramePlane[];
}

/**
 * Looks closely at every so many frames and adds up whole numbers, so that the sums of the parts of a file
 * are those of the file.
 */
export interface PlaneStudy {
  /** Frames whose number is a multiple of this are looked at. */
  readonly every: number;
  observe(planes: FramePlanes): void;
  /** Sums so far; the meaning of each entry is the study's own. */
  sums(): Float64Array;
}
