import type { Rational } from '../../signal/rational.js';

/**
 * The packets of a picture in coded order. Times in ticks of `timeBase` seconds, NaN where a packet has none.
 */
export interface Packets {
  readonly count: number;
  readonly bytes: Uint32Array;
  readonly decodeTimes: Float64Array;
  readonly presentationTimes: Float64Array;
  readonly key: Uint8Array;
  /** Packets that an edit list hides (decoded but not shown); absent where not known. */
  readonly hidden?: Uint8Array;
  /**
   * Duration of the frame presented last, from the tables of MOV and MP4, seconds; null or absent where not
   * known.
   */
  readonly lastSeconds?: number | null;
  readonly timeBase: Rational;
}
