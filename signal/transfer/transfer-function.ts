import type { PrimariesName } from '../gamut/gamuts.js';
import type { Named } from '../named.js';

/**
 * Unit of the linear side of a curve. It is part of the curve, so that one cannot be used as another.
 *
 * - `reflectance`: scene light, 0.18 is an 18 % grey card, 1.0 a perfect diffuser exposed normally (camera
 *   logs, BT.709 OETF).
 * - `scene-normalised`: scene light 0..1 of the system's own range (HLG: 1.0 is the OETF's largest input).
 * - `nits`: absolute display luminance in cd/m2 (PQ).
 * - `display-normalised`: display light, 1.0 is the peak of the display (BT.1886 with black 0, sRGB).
 */
export type LinearUnit = 'reflectance' | 'scene-normalised' | 'nits' | 'display-normalised';

/** Kind of picture of a curve, which decides how it is rendered. */
export type ColourFamily = 'scene' | 'sdr' | 'pq' | 'hlg';

/** What is published about a curve besides its formula. */
export interface Described<Name extends string = string> extends Named<Name> {
  readonly title: string;
  /** Document, edition and clause. */
  readonly source: string;
  /** Value in ITU-T H.273 (07/2024), Table 3; null where it has none. */
  readonly codePoint: number | null;
  /** The primaries it usually comes with; null where it has none (linear light). */
  readonly primaries: PrimariesName | null;
  readonly published: Published;
}

/**
 * Figures to test the curve with, used by tests/signal/transfer/contract.test.ts.
 */
export interface Published {
  /**
   * Lowest and highest light of the curve, in its own unit; signal 0..1 is within or close to it.
   */
  readonly light: readonly [lowest: number, highest: number];
  /**
   * A published pair of light and signal, with a tolerance as fraction of the signal. Not computed from the
   * curve.
   */
  readonly mid: {
    readonly light: number;
    readonly signal: number;
    readonly tolerance: number;
    /** Document and clause. */
    readonly source: string;
  };
  /** Largest step, in signal, where printed constants of two branches do not meet; default 1e-7. */
  readonly seam?: number;
  /** Largest interval of light that has the same signal where printed branches overlap; default 1e-6. */
  readonly plateau?: number;
}

/**
 * A curve from scene light to signal (camera side). Signal 0..1 is the nominal range; both functions extend
 * past it.
 */
export interface SceneTransfer<Name extends string = string> extends Described<Name> {
  readonly family: ColourFamily;
  readonly referred: 'scene';
  readonly linear: LinearUnit;
  /** Linear scene light to signal. Monotone and finite for every finite input. */
  readonly oetf: (light: number) => number;
  readonly inverseOetf: (signal: number) => number;
  /**
   * How signal relates to code values: `narrow` curves put signal 0..1 on nominal black..white; `full-code`
   * curves (camera logs) define signal as code / (2^n - 1).
   */
  readonly coding: 'narrow' | 'full-code';
}

/** A curve from signal to display light (monitor side). */
export interface DisplayTransfer<Name extends string = string> extends Described<Name> {
  readonly family: ColourFamily;
  readonly referred: 'display';
  readonly linear: LinearUnit;
  /** Signal to display light. Monotone and finite for every finite input. */
  readonly eotf: (signal: number) => number;
  readonly inverseEotf: (light: number) => number;
  readonly coding: 'narrow';
}

export type TransferFunction<Name extends string = string> = SceneTransfer<Name> | DisplayTransfer<Name>;
