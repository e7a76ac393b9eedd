import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import { framesAt, intersect, joinRanges } from './place.js';
import { met, missed, missedOnlyAt, type Ruling, unmeasured } from './ruling.js';

/** A figure over time, each point the highest value of its frames; null where a point was not measured. */
export interface Curve {
  readonly points: readonly (number | null)[];
  readonly framesPerPoint: number;
}

/** Which frames of a curve are over a limit. */
export interface CurvePlaces {
  /**
   * Points over the limit, cut to the judged parts. Every measured frame over the limit lies in these; other
   * frames may lie in them too.
   */
  readonly over: readonly FrameRange[];
  /** Whether at least one frame in the parts is certainly over the limit. */
  readonly certain: boolean;
  /** Whether a point of the parts was not measured. */
  readonly incomplete: boolean;
}

/**
 * Where a curve is over `limit`, in the given parts of the file or, for null, in all of it. A point that lies
 * only partly in a part may be over because of a frame outside.
 */
export function overLimit(
  measurement: Measurement,
  { points, framesPerPoint }: Curve,
  limit: number,
  parts: readonly FrameRange[] | null,
): CurvePlaces {
  const frames = measurement.video?.frames ?? 0;
  const within = parts ?? [framesAt(measurement, 0, frames)];
  const over: FrameRange[] = [];
  let certain = false;
  let incomplete = within.some(({ to }) => to > points.length * framesPerPoint);
  points.forEach((value, index) => {
    if (value !== null && value <= limit) return;
    const from = index * framesPerPoint;
    const point = framesAt(measurement, from, Math.min(frames, from + framesPerPoint));
    const inside = intersect(measurement, [point], within);
    if (inside.length === 0) return;
    if (value === null) {
      incomplete = true;
      return;
    }
    over.push(...inside);
    if (within.some((part) => part.from <= point.from && point.to <= part.to)) certain = true;
  });
  return { over: joinRanges(over), certain, incomplete };
}

/** A limit on the largest figure of a file, and what was found where. */
export interface LargestFigure {
  readonly limit: number;
  readonly curve: Curve | null;
  /** The frame with the largest figure of the whole file. */
  readonly worstFrame: number | null;
}

/**
 * The ruling on a file that is over the limit: with every place where the curve shows them, otherwise with
 * the worst frame.
 */
export function missedSomewhere(measurement: Measurement, measured: string, figure: LargestFigure): Ruling {
  const { limit, curve, worstFrame } = figure;
  const places = curve === null ? null : overLimit(measurement, curve, limit, null);
  if (places === null || places.incomplete || places.over.length === 0) {
    const worst = worstFrame === null ? [] : [framesAt(measurement, worstFrame, worstFrame + 1)];
    return missed(measured, { at: worst });
  }
  return missedOnlyAt(places.over, `${measured}${coarseness(curve)}`);
}

/** The same for parts of a file that is over the limit somewhere. */
export function judgeParts(
  measurement: Measurement,
  measured: string,
  figure: LargestFigure,
  parts: readonly FrameRange[],
): Ruling {
  const { limit, curve, worstFrame } = figure;
  const places = curve === null ? null : overLimit(measurement, curve, limit, parts);
  const worstInside =
    worstFrame !== null && parts.some(({ from, to }) => from <= worstFrame && worstFrame < to);
  if (places?.certain === true && !places.incomplete) {
    return missedOnlyAt(places.over, `${measured}${coarseness(curve)}`);
  }
  if (worstInside || places?.certain === true) {
    const at = worstInside
      ? [framesAt(measurement, worstFrame ?? 0, (worstFrame ?? 0) + 1)]
      : (places?.over ?? []);
    return missed(measured, { at });
  }
  if (places !== null && !places.incomplete && places.over.length === 0) {
    return met('nothing over the limit in these parts');
  }
  const reason =
    curve === null
      ? `${measured} over the whole file, and of other places than the worst frame nothing is known`
      : `over the limit at an edge of these parts, where figures are kept only for ${curve.framesPerPoint} frames together`;
  return unmeasured(reason, 'Check the places of the whole file, or export the part and measure that.');
}

function coarseness(curve: Curve | null): string {
  return curve === null || curve.framesPerPoint === 1
    ? ''
    : `; places to within ${curve.framesPerPoint} frames`;
}
