import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { reasonFor } from '../doubt.js';
import { onPicture, type Video } from '../on-picture.js';
import type { Rule } from '../requirement.js';
import { type Rulings, unmeasured } from '../ruling.js';

export type Coding = NonNullable<Measurement['coding']>;

/** A rule on the coded picture; unmeasured where its packets could not be listed. */
export function onCoding<L>(rule: (limits: L, coding: Coding, video: Video) => Rulings): Rule<L> {
  return onPicture((limits, video, measurement) =>
    measurement.coding === null
      ? unmeasured(reasonFor(measurement, 'packets', 'coding'), 'Measure a complete copy of the file.')
      : rule(limits, measurement.coding, video),
  );
}
