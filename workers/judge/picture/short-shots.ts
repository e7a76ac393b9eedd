import { count } from '../../../jobs/words/numbers.js';
import { lengthOf } from '../../measure/picture/temporal/frames-in-runs.js';
import { isUneven } from '../frame-times.js';
import { onSection } from '../on-picture.js';
import { inParts, plainRange } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, unmeasured } from '../ruling.js';
import { rulePlaces } from './listed-places.js';
import { TEMPORAL } from './temporal.js';

export const requirement = defineRequirement('short-shots', {
  title: 'Flash frames and short shots',
  why: 'Frames left over at an edit flash up as another picture.',
  expected: ({ minFrames }) => `no shot of fewer than ${count(minFrames, 'frame')}`,
  advice: 'Look at the edit; trim away frames that were left over.',
  rule: onSection('temporal', TEMPORAL, ({ minFrames }, { shortShot }, measurement, { parts }) => {
    if (minFrames > shortShot.below) {
      const reason = `shots are told apart only below ${shortShot.below} frames`;
      return unmeasured(reason, `Ask for at most ${shortShot.below} frames in the target.`);
    }
    // A shot is as short as it is, in whichever part it lies.
    const short = shortShot.ranges.filter((range) => lengthOf(range) < minFrames);
    const bad = inParts(measurement, short, parts);
    const unclear = inParts(measurement, shortShot.unclear.ranges, parts);
    if (bad.length > 0 && isUneven(measurement)) {
      return unmeasured(`${count(bad.length, 'shot')} of few frames, but frames of uneven length`);
    }
    const ruling = rulePlaces(bad, shortShot, {
      what: 'short shot',
      none: `none among ${count(shortShot.cuts, 'cut')}`,
    });
    if (ruling.outcome !== 'met' || unclear.length === 0) return ruling;
    const measured = `none that is sure; in ${count(unclear.length, 'place')} pictures change too fast to tell short shots from movement`;
    return { ...doubtful(measured, 'Look at these places.'), at: unclear.map(plainRange) };
  }),
  within: 'rule',
});
