import type { TransferName } from '../colour-names.js';

/**
 * What the linear side of a curve means. One is never read as another by accident: the unit travels with the curve.
 *
 * - `reflectance`: scene light, 0.18 is an 18 % grey card, 1.0 a perfect diffuser exposed normally (camera logs,
 *   BT.709 OETF).
 * - `scene-normalised`: scene light 0..1 of the system's own range (HLG: 1.0 is the OETF's largest input).
 * - `nits`: absolute display luminance in cd/m2 (PQ).
 * - `display-normalised`: display light, 1.0 is the peak of the display (BT.1886 with black 0, sRGB).
 */
export type LinearUnit = 'reflectance' | 'scene-normalised' | 'nits' | 'display-normalised';

interface Described {
  readonly name: TransferName;
  readonly title: string;
  /** Document, edition and clause. */
  readonly source: string;
  readonly linear: LinearUnit;
}

/** A curve from scene light to signal (camera side). Signal 0..1 is the nominal range; both functions extend past it. */
export interface SceneTransfer extends Described {
  readonly referred: 'scene';
  /** Linear scene light to signal. Monotone and finite for every finite input. */
  readonly oetf: (light: number) => number;
  readonly inverseOetf: (signal: number) => number;
  /**
   * How signal relates to code values: `narrow` curves put signal 0..1 on nominal black..white; `full-code`
   * curves (most camera logs) define signal as code / (2^n - 1).
   */
  readonly coding: 'narrow' | 'full-code';
}

/** A curve from signal to display light (monitor side). */
export interface DisplayTransfer extends Described {
  readonly referred: 'display';
  /** Signal to display light. Monotone and finite for every finite input. */
  readonly eotf: (signal: number) => number;
  readonly inverseEotf: (light: number) => number;
  readonly coding: 'narrow';
}

export type TransferFunction = SceneTransfer | DisplayTransfer;
