import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import type { PlacedName } from '../../jobs/requirements/requirement.js';
import { withVideo } from './check-format.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { intersect } from './place.js';
import { type Check, type CheckWithin, type Limits, type Ruling, unmeasured } from './ruling.js';

/** The parts of the programme that are judged; null: all of it. */
export type Parts = readonly FrameRange[] | null;

/** A rule as the two checks it serves: of the whole programme, and of parts of it. */
export function partsChecks<N extends PlacedName>(
  rule: (limits: Limits<N>, measurement: Measurement, parts: Parts) => Ruling,
): { readonly check: Check<N>; readonly within: CheckWithin<N> } {
  return {
    check: (limits, measurement) => rule(limits, measurement, null),
    within: (limits, measurement, _, parts) => rule(limits, measurement, parts),
  };
}

/** The ranges as they lie in the judged parts, with what else they carry. */
export function inParts<R extends FrameRange>(
  measurement: Measurement,
  ranges: readonly R[],
  parts: Parts,
): R[] {
  if (parts === null) return [...ranges];
  return ranges.flatMap((range) =>
    intersect(measurement, [range], parts).map((part) => ({ ...range, ...part })),
  );
}

/** Rules on a section of the measurement that may be missing or doubted; `name` is the one doubts and reasons go by. */
export function withSection<N extends 'temporal' | 'fields'>(
  measurement: Measurement,
  name: N,
  subject: string,
  expected: string,
  rule: (section: NonNullable<Measurement[N]>) => Ruling,
): Ruling {
  return withVideo(measurement, expected, () => {
    const section = measurement[name];
    const doubt = doubtAbout(measurement, name);
    if (section !== null && doubt === null) return rule(section);
    const reason = doubt ?? reasonFor(measurement, subject, name);
    return unmeasured(expected, reason, 'Measure the file again from a decodable copy.');
  });
}
