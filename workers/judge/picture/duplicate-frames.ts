import { count } from '../../../jobs/words/numbers.js';
import { framesIn } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts, plainRange } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { TEMPORAL } from './temporal.js';

export const requirement = defineRequirement('duplicate-frames', {
  title: 'Repeated and lost frames',
  why: 'A repeated or lost frame stutters, most visibly in pans.',
  expected: ({ maxFrames, regular }) =>
    `${maxFrames === 0 ? 'no frame' : `at most ${count(maxFrames, 'frame')}`} repeated or lost in moving picture${regular ? ', repeats in step aside' : ''}`,
  advice: 'Compare with the source; conform or convert the rate again where frames were repeated or lost.',
  rule: onSection('temporal', TEMPORAL, (limits, temporal, measurement, { parts }) => {
    const { duplicate, missingMotion } = temporal;
    const inStep = limits.regular ? [] : duplicate.regular.ranges;
    const repeated = inParts(measurement, duplicate.ranges, parts);
    const steady = inParts(measurement, inStep, parts);
    const lost = inParts(measurement, missingMotion.ranges, parts);
    const listed =
      duplicate.places === duplicate.ranges.length && missingMotion.places === missingMotion.ranges.length;
    const [repeats, losses] =
      parts === null ? [duplicate.frames, missingMotion.frames] : [framesIn(repeated), framesIn(lost)];
    // Of a stretch in step not every frame repeats, but some do.
    const stretches = steady.length === 0 ? '' : `, repeats in step in ${count(steady.length, 'place')}`;
    const measured = `${count(repeats, 'frame')} repeated, ${losses} lost${stretches}`;
    if (repeats + losses > limits.maxFrames || steady.length > 0) {
      const at = [...repeated, ...steady, ...lost].map(plainRange);
      return listed ? missedOnlyAt(at, measured) : missed(measured, { at });
    }
    return listed || parts === null ? met(measured) : unmeasured('not every place is known one by one');
  }),
  within: 'rule',
});
