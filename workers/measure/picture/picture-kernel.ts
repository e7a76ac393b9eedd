import type { CodeScale } from './code-scale.js';
import type { LightPlan } from './light.js';
import type { PictureMeaning } from './meaning.js';
import type { PictureTotals } from './picture-totals.js';
import type { PlaneGeometry, SampleLayout } from './sample-layout.js';
import type { SignalLimits } from './signal-limits.js';

/** Everything a kernel needs to know of the pictures it will see. */
export interface PicturePlan {
  readonly layout: SampleLayout;
  readonly geometry: PlaneGeometry;
  readonly meaning: PictureMeaning;
  readonly scale: CodeScale;
  /** R 103 limits in steps; null where R'G'B' cannot be made. */
  readonly limits: SignalLimits | null;
  readonly light: LightPlan | null;
  /** Lines of a frame are those of two fields: the R 103 filter stays within a field, and 4:2:0 chroma belongs to one. */
  readonly interlaced: boolean;
}

/**
 * Measures pictures. The reader fills `frame` and calls `measure`, frame after frame; `finish` gives the totals.
 * A kernel owns its frame buffer so that an implementation may keep it wherever it measures fastest.
 */
export interface PictureKernel {
  /** One frame as ffmpeg's rawvideo packs it: planes without padding, little endian. */
  readonly frame: Uint8Array;
  measure(): void;
  finish(): PictureTotals;
}
