import type { Measurement } from '../../jobs/measurement/measurement.js';
import { doubtAbout, MEASURE_AGAIN, reasonFor } from './doubt.js';
import { eventsOf } from './place.js';
import type { Rule } from './requirement.js';
import { missed, type Rulings, unmeasured } from './ruling.js';

export type Video = NonNullable<Measurement['video']>;
type Context<L> = Parameters<Rule<L>>[2];

/** A rule on the picture; a file without picture misses every such requirement. */
export function onPicture<L>(
  rule: (limits: L, video: Video, measurement: Measurement, context: Context<L>) => Rulings,
): Rule<L> {
  return (limits, measurement, context) =>
    measurement.video === null
      ? missed('the file has no picture', {
          advice: 'Deliver a file with a picture, or use a target for sound.',
        })
      : rule(limits, measurement.video, measurement, context);
}

/** As onPicture, for properties that must not change within the file: a file in which they do misses. */
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

/** A section of the measurement, null where it could not be measured. */
type SectionName = 'levels' | 'temporal' | 'fields' | 'flashes';
type Section<S extends SectionName> = NonNullable<Measurement[S]>;

/** A rule on one section of the measurement of the picture, which may be missing. */
export function onSection<L, S extends SectionName>(
  name: S,
  {
    what,
    subject = name,
  }: {
    /** What the section contains, in words: `the measurement does not include the ...`. */
    readonly what: string;
    /** The figure that has to be free of doubt: a path in the measurement; by default the whole section. */
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
