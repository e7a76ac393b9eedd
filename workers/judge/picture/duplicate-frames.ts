import { count } from '../../../jobs/words/numbers.js';
import { framesIn } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts, plainRange } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { TEMPORAL } from './temporal.js';

export const requirement = defineRequirement('duplicate-frames', {
  title: 'Repeated and lost frames',
  why: 'A repeated or lost frame stutters, which shows most in pans.',
  expected: ({ maxFrames, regular }) =>
    `${maxFrames === 0 ? 'no frame' : `at most ${count(maxFrames, 'frame')}`} repeated or lost in motion${regular ? ', not counting regular repeats' : ''}`,
  advice:
    'Compare with the source; conform again or repeat the rate conversion where frames were repeated or lost.',
  rule: onSection('temporal', TEMPORAL, (limits, temporal, measurement, { parts }) => {
    const { duplicate, missingMotion } = temporal;
    const regularRepeats = limits.regular ? [] : duplicate.regular.ranges;
    const repeated = inParts(measurement, duplicate.ranges, parts);
    const steady = inParts(measurement, regularRepeats, parts);
    const lost = inParts(measurement, missingMotion.ranges, parts);
    const listed =
      duplicate.places === duplicate.ranges.length && missingMotion.places === missingMotion.ranges.length;
    const [repeats, losses] =
      parts === null ? [duplicate.frames, missingMotion.frames] : [framesIn(repeated), framesIn(lost)];
    // In a section of regular repeats some frames repeat, not every one.
    const stretches = steady.length === 0 ? '' : `, regular repeats in ${count(steady.length, 'place')}`;
    const measured = `${count(repeats, 'frame')} repeated, ${losses} lost${stretches}`;
    if (repeats + losses > limits.maxFrames || steady.length > 0) {
      const at = [...repeated, ...steady, ...lost].map(plainRange);
      return listed ? missedOnlyAt(at, measured) : missed(measured, { at });
    }
    return listed || parts === null ? met(measured) : unmeasured('not every place is listed');
  }),
  within: 'rule',
});
