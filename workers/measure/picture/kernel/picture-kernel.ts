import type { Vector3 } from '../../../../signal/matrix3.js';
import type { FrameFeatures } from './frame-features.js';
import type { FramePlane } from './frame-planes.js';

/**
 * Figures of one frame from a kernel. Counts are those of this frame alone; arrays are the kernel's own and
 * change with the next frame.
 */
export interface FrameReading {
  readonly features: FrameFeatures;
  /**
   * R', G', B' in the bins of `rgbBins(plan)`, on the rows of `countsRgbOn`; null where the matrix is
   * unknown.
   */
  readonly rgb: {
    readonly red: Uint32Array;
    readonly green: Uint32Array;
    readonly blue: Uint32Array;
  } | null;
  /** Smallest and largest R', G' or B' in steps. */
  readonly leastStep: number;
  readonly mostStep: number;
  /** Pixels outside the tolerance of R 103 after its filter. */
  readonly outsideR103: number;
  /** Null without a light plan. */
  readonly light: FrameLight | null;
}

export interface FrameLight {
  /** Pixels by light, in the bins of the light plan. */
  readonly counts: Uint32Array;
  /** Scene light only: pixels by max(R',G',B'), rounded to codes. */
  readonly brightest: Uint32Array | null;
  /** R'G'B' in steps of the pixel with the most light; null for scene light. */
  readonly peak: Vector3 | null;
  /** Pixels outside P3-D65. */
  readonly outsideP3: number;
}

/**
 * Measures frames one by one, each compared with the previous one. A kernel owns the memory of the frames, so
 * that they are where it measures fastest: the reader fills the slots in turn, and may fill frame n + 1 while
 * frame n is measured.
 */
export interface PictureKernel {
  /**
   * Each takes one frame as ffmpeg's rawvideo packs it: planes without padding, little endian. Frame n goes
   * to slot n mod their number.
   */
  readonly slots: readonly Uint8Array[];
  /** Measures frame n, which follows on the frame measured before; the slot must not change meanwhile. */
  measure(frame: number): FrameReading;
  /** The samples of the frame measured last. */
  readonly planes: readonly FramePlane[];
}
