import type { Rational } from '../../../signal/rational.js';

/** When the frames of a stream are shown, from the time stamps of every decoded frame. */
export interface Timeline {
  /** Every frame where the rate puts it, to within the rounding of the container's clock; null without time stamps or rate. */
  readonly constantRate: boolean | null;
  readonly durationSeconds: number;
  /** Frames whose distance from the frame before is not the usual one, at most 1,000. */
  readonly gaps: readonly {
    /** `timestamp-repeat`: at or before the time of the frame before, or less than half a frame after it. */
    readonly kind: 'timestamp-gap' | 'timestamp-repeat';
    readonly frame: number;
    readonly detail: string;
  }[];
}

export interface Timestamps {
  readonly ticks: Float64Array;
  readonly timeBase: Rational;
}

/**
 * All in whole ticks. Frame `i` belongs at `first + i * step` ticks, a fraction which the container rounds: half a tick for
 * the first frame and half for this one.
 */
export function readTimeline(frames: number, stamps: Timestamps | null, rate: Rational | null): Timeline {
  if (frames === 0) return { constantRate: null, durationSeconds: 0, gaps: [] };
  const nominal = rate === null ? null : (frames * rate.den) / rate.num;
  if (stamps === null || stamps.ticks.length !== frames) {
    return { constantRate: null, durationSeconds: nominal ?? 0, gaps: [] };
  }
  const { ticks, timeBase } = stamps;
  const tickSeconds = timeBase.num / timeBase.den;
  const span = ((ticks[frames - 1] ?? 0) - (ticks[0] ?? 0)) * tickSeconds;
  if (rate === null || nominal === null) {
    const lastFrame = frames > 1 ? span / (frames - 1) : 0;
    return { constantRate: null, durationSeconds: span + lastFrame, gaps: [] };
  }
  // One frame lasts step = stepNum / stepDen ticks.
  const stepNum = BigInt(rate.den) * BigInt(timeBase.den);
  const stepDen = BigInt(rate.num) * BigInt(timeBase.num);
  const first = BigInt(ticks[0] ?? 0);
  let constant = true;
  for (let i = 1; i < frames; i++) {
    const off = (BigInt(ticks[i] ?? 0) - first) * stepDen - BigInt(i) * stepNum;
    if (off > stepDen || off < -stepDen) {
      constant = false;
      break;
    }
  }
  return {
    constantRate: constant,
    durationSeconds: constant ? nominal : span + rate.den / rate.num,
    gaps: constant ? [] : findGaps(ticks),
  };
}

const MOST_GAPS = 1000;

/**
 * Against the commonest distance, not the declared rate: the rate of a stream with gaps is often declared as its mean, which no
 * single frame keeps.
 */
function findGaps(ticks: Float64Array): Timeline['gaps'] {
  const distances = Float64Array.from(
    { length: ticks.length - 1 },
    (_, i) => (ticks[i + 1] ?? 0) - (ticks[i] ?? 0),
  );
  const step = distances.slice().sort()[distances.length >> 1] ?? 0;
  const gaps: Timeline['gaps'][number][] = [];
  distances.forEach((distance, i) => {
    // A container clock coarser than the frame rate rounds each stamp by half a tick.
    if (gaps.length >= MOST_GAPS || Math.abs(distance - step) <= 1) return;
    const inFrames = step === 0 ? `${distance} ticks` : `${Math.round((distance / step) * 100) / 100} frames`;
    const kind = distance < step / 2 ? 'timestamp-repeat' : 'timestamp-gap';
    gaps.push({ kind, frame: i + 1, detail: `${inFrames} after the frame before, by its time stamp` });
  });
  return gaps;
}
