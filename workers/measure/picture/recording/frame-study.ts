import type { FrameFeatures } from '../kernel/frame-features.js';
import type { FramePlane } from '../kernel/frame-planes.js';
import type { PicturePlan } from '../plan/picture-plan.js';

/**
 * Examines every frame and keeps a few numbers of each. The result for the whole programme is computed
 * afterwards, by a pure function of these columns: a file measured in parts gives the same columns and so the
 * same result.
 */
export interface FrameStudy<Column extends string> {
  readonly columns: readonly Column[];
  /**
   * How many frames before a frame its numbers depend on, beyond which nothing may matter. Measuring from the
   * middle of a file starts this many frames earlier (or at the start of the file).
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
 * Examines the samples of every nth frame and adds integers, so that the sums of the parts of a file are
 * those of the file.
 */
export interface PlaneStudy {
  /** Frames whose number is a multiple of this are examined. */
  readonly every: number;
  observe(planes: FramePlanes): void;
  /** Sums so far; each study defines the meaning of its entries. */
  sums(): Float64Array;
}
