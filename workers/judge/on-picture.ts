import type { Measurement } from '../../jobs/measurement/measurement.js';
import { doubtAbout, MEASURE_AGAIN, reasonFor } from './doubt.js';
import { eventsOf } from './place.js';
import type { Rule } from './requirement.js';
import { missed, type Rulings, unmeasured } from './ruling.js';

export type Video = NonNullable<Measurement['video']>;
type Context<L> = Parameters<Rule<L>>[2];

/** A rule on the picture; a file without one misses whatever is asked of it. */
export function onPicture<L>(
  rule: (limits: L, video: Video, measurement: Measurement, context: Context<L>) => Rulings,
): Rule<L> {
  return (limits, measurement, context) =>
    measurement.video === null
      ? missed('the file has no picture', {
          advice: 'Deliver a file with a picture, or judge it by a target for sound.',
        })
      : rule(limits, measurement.video, measurement, context);
}

/** As onPicture, for facts that must hold for the whole file: one that changes within it misses them. */
export function onSteadyPicture<L>(
  rule: (limits: L, video: Video, measurement: Measurement) => Rulings,
  changes: readonly string[] = ['format-change'],
): Rule<L> {
  return (limits, measurement, context) => {
    const change = measurement.events.find(({ kind }) => changes.includes(kind));
    if (change === undefined) return onPicture(rule)(limits, measurement, context);
    return missed(`changes within the file: ${change.detail}`, {
      at: eventsOf(measurement, ...changes),
      advice: 'Make the file again in one format.',
    });
  };
}

/** A part of the measurement that is null where it could not be measured. */
type SectionName = 'levels' | 'temporal' | 'fields' | 'flashes';
type Section<S extends SectionName> = NonNullable<Measurement[S]>;

/** A rule on one section of the measurement of the picture, which may be missing. */
export function onSection<L, S extends SectionName>(
  name: S,
  {
    what,
    subject = name,
  }: {
    /** What the section holds, in words: `the measurement holds no ...`. */
    readonly what: string;
    /** The figure doubts go by: a path in the measurement, the section itself where left out. */
    readonly subject?: string;
  },
  rule: (
    limits: L,
    section: Section<S>,
    measurement: Measurement & { readonly video: Video },
    context: Context<L>,
  ) => Rulings,
): Rule<L> {
  return onPicture((limits, video, measurement, context) => {
    const section = measurement[name];
    if (section === null || doubtAbout(measurement, subject) !== null) {
      return unmeasured(reasonFor(measurement, what, subject), MEASURE_AGAIN);
    }
    return rule(limits, section, { ...measurement, video }, context);
  });
}
