import type { Rational } from '../../../signal/rational.js';
import { isUsual, rateOf, stepTicks } from '../../probe/frame-rate.js';

/** When the frames of a stream are shown, from the time stamps of every decoded frame. */
export interface Timeline {
  /** The rate of all frames, or of most of them; null without one. */
  readonly rate: Rational | null;
  /**
   * Whether all frames have the same duration, within jitter and the rounding of the container's clock; null
   * without time stamps or rate.
   */
  readonly constantRate: boolean | null;
  readonly durationSeconds: number;
  /** Frames whose distance from the previous frame is not the usual one, at most 1,000. */
  readonly gaps: readonly {
    /**
     * `timestamp-repeat`: at or before the time of the previous frame, or less than half a frame after it.
     */
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
 * By the rule of the probe ([frame-rate](../../probe/frame-rate.ts)), from every decoded frame. `stated` is
 * the rate of the headers; `lastSeconds` the duration of the last frame, where the container declares it and
 * it is longer than the others.
 */
export function readTimeline(
  frames: number,
  stamps: Timestamps | null,
  stated: Rational | null,
  lastSeconds: number | null = null,
): Timeline {
  const lasting = (rate: Rational | null): number => (rate === null ? 0 : (frames * rate.den) / rate.num);
  if (frames === 0 || stamps === null || stamps.ticks.length !== frames) {
    return { rate: stated, constantRate: null, durationSeconds: lasting(stated), gaps: [] };
  }
  const { ticks, timeBase } = stamps;
  const { rate, constant } = rateOf(stamps, stated === null ? [] : [stated]);
  const span = ((ticks[frames - 1] ?? 0) - (ticks[0] ?? 0)) * (timeBase.num / timeBase.den);
  if (rate === null) {
    const lastFrame = frames > 1 ? span / (frames - 1) : 0;
    return { rate, constantRate: null, durationSeconds: span + lastFrame, gaps: [] };
  }
  const frame = rate.den / rate.num;
  const stays = lastSeconds !== null && lastSeconds > 1.5 * frame ? lastSeconds : frame;
  return {
    rate,
    constantRate: constant,
    durationSeconds: constant === true ? lasting(rate) + (stays - frame) : span + stays,
    gaps: constant === true ? [] : findGaps(ticks, stepTicks(rate, timeBase)),
  };
}

const MOST_GAPS = 1000;

function findGaps(ticks: Float64Array, step: number): Timeline['gaps'] {
  const gaps: Timeline['gaps'][number][] = [];
  for (let frame = 1; frame < ticks.length && gaps.length < MOST_GAPS; frame++) {
    const distance = (ticks[frame] ?? 0) - (ticks[frame - 1] ?? 0);
    if (isUsual(distance, step)) continue;
    const kind = distance < step / 2 ? 'timestamp-repeat' : 'timestamp-gap';
    const inFrames = Math.round((distance / step) * 100) / 100;
    gaps.push({ kind, frame, detail: `${inFrames} frames after the previous one, by its time stamp` });
  }
  return gaps;
}
