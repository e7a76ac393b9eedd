import { count } from '../../../jobs/words/numbers.js';
import { doubtfulFramesText, orderText, otherFramesText } from '../../compare/words.js';
import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missed, missedOnlyAt, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('same-frames', {
  title: 'Frames of the original, in their order',
  why: 'A frame that was lost, repeated, swapped or replaced is in no list of the edit, and shows when it is too late.',
  expected: 'each frame the one the original has there',
  advice: 'Make the copy again from its original.',
  rule: (_, measurement, { original }) => {
    if (measurement.video === null && original?.video === null) return met('no picture, as the original');
    const { frameOrder } = measurement;
    if (frameOrder === null) {
      const reason =
        doubtAbout(measurement, 'frameOrder') ??
        (original === undefined ? 'no original to compare it with' : 'its frames were not compared');
      return unmeasured(reason, 'Check the copy together with its original.');
    }
    const { apart, doubtful: unlike, expected } = frameOrder;
    const has = measurement.video?.frames ?? 0;
    const others = apart.length === 0 ? [] : [otherFramesText(apart)];
    if (expected !== null && has !== expected) {
      return missed([`${count(has, 'frame')} of the original's ${expected}`, ...others].join('; '), {
        at: apart,
      });
    }
    if (apart.length > 0) return missedOnlyAt(apart, others.join());
    if (unlike.length > 0) {
      return {
        ...doubtful(doubtfulFramesText(unlike), 'Look at these frames beside the original.'),
        at: unlike,
      };
    }
    return met(orderText(frameOrder));
  },
});
