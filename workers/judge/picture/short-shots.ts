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
  why: 'Frames left over at an edit show as a flash of another shot.',
  expected: ({ minFrames }) => `no shot of fewer than ${count(minFrames, 'frame')}`,
  advice: 'Check the edit; trim frames that were left over.',
  rule: onSection('temporal', TEMPORAL, ({ minFrames }, { shortShot }, measurement, { parts }) => {
    if (minFrames > shortShot.below) {
      const reason = `only shots below ${shortShot.below} frames are listed`;
      return unmeasured(reason, `Set at most ${shortShot.below} frames in the target.`);
    }
    // The length of the whole shot counts, not of what lies in a part.
    const short = shortShot.ranges.filter((range) => lengthOf(range) < minFrames);
    const bad = inParts(measurement, short, parts);
    const unclear = inParts(measurement, shortShot.unclear.ranges, parts);
    if (bad.length > 0 && isUneven(measurement)) {
      return unmeasured(`${count(bad.length, 'shot')} of few frames, but frames of uneven duration`);
    }
    const ruling = rulePlaces(bad, shortShot, {
      what: 'short shot',
      none: `none among ${count(shortShot.cuts, 'cut')}`,
    });
    if (ruling.outcome !== 'met' || unclear.length === 0) return ruling;
    const measured = `none that is certain; in ${count(unclear.length, 'place')} the picture changes too fast to tell short shots from motion`;
    return { ...doubtful(measured, 'Check these places.'), at: unclear.map(plainRange) };
  }),
  within: 'rule',
});
