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
  why: 'An unintended still looks like a broken transmission, and automation may switch away.',
  expected: ({ seconds }) => `no still picture of ${seconds} s or longer`,
  advice: 'Check whether the still is intended; if not, render the shot again.',
  rule: onSection('temporal', TEMPORAL, ({ seconds }, { freeze }, measurement, { parts }) => {
    const rate = parseRational(measurement.video.frameRate ?? '');
    if (rate === null) return unmeasured('the file declares no frame rate');
    if (isUneven(measurement)) {
      const reason = 'frames of uneven duration: a single one may be as long as a freeze';
      return unmeasured(reason, 'Convert the file to a constant rate, and check it again.');
    }
    const least = Math.ceil(seconds * toNumber(rate) - 1e-6);
    if (least < freeze.leastFrames) {
      const reason = `freezes are detected from ${freeze.leastFrames} frames on, and ${seconds} s are ${least} frames`;
      return unmeasured(reason, 'Set a longer time in the target.');
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
