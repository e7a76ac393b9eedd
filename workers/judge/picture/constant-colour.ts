import { count } from '../../../jobs/words/numbers.js';
import { percent } from '../../../jobs/words/quantities.js';
import { lengthOf } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { unmeasured } from '../ruling.js';
import { rulePlaces } from './listed-places.js';
import { TEMPORAL } from './temporal.js';

export const requirement = defineRequirement('constant-colour', {
  title: 'Frames of one colour',
  why: 'Frames of one colour are usually media that was missing or not decoded when the master was made.',
  expected: ({ maxFrames, tolerance }) => {
    const length = maxFrames === 0 ? 'no frame' : `at most ${count(maxFrames, 'frame')} in a row`;
    return `${length} of one colour other than black, levels within ${percent(tolerance)}`;
  },
  advice: 'Check whether the colour is intended; if not, find the media that is missing or not decoded.',
  rule: onSection('temporal', TEMPORAL, (limits, { constantColour: flat }, measurement, { parts }) => {
    const { maxFrames, tolerance } = limits;
    if (tolerance > flat.level) {
      const reason = `colours are measured only to within ${percent(flat.level)}`;
      return unmeasured(reason, `Set at most ${percent(flat.level)} in the target.`);
    }
    const even = flat.ranges.filter(({ spread }) => spread <= tolerance);
    const bad = inParts(measurement, even, parts).filter((range) => lengthOf(range) > maxFrames);
    return rulePlaces(bad, flat, {
      what: 'place',
      none: 'none',
      detail: `over at least ${percent(flat.area)} of the picture`,
    });
  }),
  within: 'rule',
});
