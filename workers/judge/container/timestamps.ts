import { count } from '../../../jobs/words/numbers.js';
import { doubtAbout } from '../doubt.js';
import { STAMP_EVENTS } from '../frame-times.js';
import { onPicture } from '../on-picture.js';
import { eventsOf } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

const EXPECTED = 'time stamps without gap, repeat or step back';

export const requirement = defineRequirement('timestamps', {
  title: 'Time stamps',
  why: 'A gap or repeat shows as a jump, and puts everything after it out of sync.',
  expected: EXPECTED,
  advice: 'Make the file again with a time stamp for every frame.',
  rule: onPicture((_, { constantRate }, measurement) => {
    const faults = measurement.coding?.timestamps ?? null;
    const at = eventsOf(measurement, ...STAMP_EVENTS);
    const found = [
      at.length > 0 ? (at.length === 1 ? 'a gap or repeat' : `${at.length} gaps or repeats`) : '',
      // Where the container gives no packet a time stamp, the times of the frames count, which were checked.
      faults !== null && faults.missing > 0 && faults.missing < (measurement.coding?.packets ?? 0)
        ? `${count(faults.missing, 'packet')} without a time stamp`
        : '',
      faults !== null && faults.repeated > 0
        ? `${count(faults.repeated, 'packet')} at the same time as another`
        : '',
      faults !== null && faults.backward > 0
        ? `${count(faults.backward, 'packet')} with a decoding time before the previous one`
        : '',
    ].filter((part) => part !== '');
    if (found.length > 0) return missed(found.join(', '), { at });
    if (constantRate === null || faults === null) {
      const doubt = doubtAbout(measurement, 'video.constantRate', 'coding');
      return unmeasured(doubt ?? 'the time stamps could not be read');
    }
    return met(EXPECTED);
  }),
});
