import { parseRational, toNumber } from '../../../signal/rational.js';
import { lengthOf } from '../../measure/picture/temporal/frames-in-runs.js';
import { isUneven } from '../frame-times.js';
import { onSection } from '../on-picture.js';
import { inParts } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { unmeasured } from '../ruling.js';
import { rulePlaces } from './listed-places.js';
import { TEMPORAL } from './temporal.js';

export const requirement = defineRequirement('freeze-frames', {
  title: 'Freeze frames',
  why: 'A picture that stands still unasked looks like a broken transmission, and automation may switch away.',
  expected: ({ seconds }) => `no picture that stands still for ${seconds} s or longer`,
  advice: 'Look whether the still is meant; if not, render the shot again.',
  rule: onSection('temporal', TEMPORAL, ({ seconds }, { freeze }, measurement, { parts }) => {
    const rate = parseRational(measurement.video.frameRate ?? '');
    if (rate === null) return unmeasured('the file states no frame rate to count seconds by');
    if (isUneven(measurement)) {
      const reason = 'frames of uneven length: one may stand as long as a freeze';
      return unmeasured(reason, 'Conform it to a constant rate, and check it again.');
    }
    const least = Math.ceil(seconds * toNumber(rate) - 1e-6);
    if (least < freeze.leastFrames) {
      const reason = `freezes are told from ${freeze.leastFrames} frames on, and ${seconds} s are ${least}`;
      return unmeasured(reason, 'Ask for a longer time in the target.');
    }
    const bad = inParts(measurement, freeze.ranges, parts).filter((range) => lengthOf(range) >= least);
    return rulePlaces(bad, freeze, {
      what: 'freeze',
      none: `none, changes below ${freeze.db} dB counted as still`,
      detail: `changes below ${freeze.db} dB`,
    });
  }),
  within: 'rule',
});
