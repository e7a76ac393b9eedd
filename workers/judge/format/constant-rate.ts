import { doubtAbout } from '../doubt.js';
import { STAMP_EVENTS } from '../frame-times.js';
import { onPicture } from '../on-picture.js';
import { eventsOf } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

const EXPECTED = 'every frame of the same duration';

export const requirement = defineRequirement('constant-rate', {
  title: 'Constant frame rate',
  why: 'Edit systems count frames; uneven ones move cuts and drift from sound.',
  expected: EXPECTED,
  advice: 'Make the file again at a constant rate.',
  rule: onPicture((_, { constantRate }, measurement) => {
    if (constantRate === null) {
      const reason = doubtAbout(measurement, 'video.constantRate') ?? 'the time stamps do not show it';
      return unmeasured(reason, 'Wrap the file again with a constant rate.');
    }
    if (constantRate) return met(EXPECTED);
    return missed('frames of uneven duration', { at: eventsOf(measurement, ...STAMP_EVENTS) });
  }),
  seen: false,
});
