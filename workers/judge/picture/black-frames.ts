import type { FrameRange } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { percent } from '../../../jobs/words/quantities.js';
import { lengthOf } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { rulePlaces } from './listed-places.js';
import { TEMPORAL } from './temporal.js';

export const requirement = defineRequirement('black-frames', {
  title: 'Black frames',
  why: 'Black within a programme looks like a fault on air, and often is one.',
  expected: ({ maxFrames, allowAtEnds }) => {
    const where = allowAtEnds ? ' between the black at head and tail' : '';
    return `${maxFrames === 0 ? 'no black frame' : `black for at most ${count(maxFrames, 'frame')}`}${where}`;
  },
  advice: 'Check whether the black is intended; if not, close the gap in the edit.',
  rule: onSection('temporal', TEMPORAL, (limits, { black }, measurement, { parts }) => {
    const { frames } = measurement.video;
    // Black from the first to the last frame does not count as head or tail.
    const atEnd = ({ from, to }: FrameRange): boolean => (from === 0) !== to >= frames;
    const counted = black.ranges.filter((range) => !(limits.allowAtEnds && atEnd(range)));
    const ends = black.ranges.length - counted.length;
    const bad = inParts(measurement, counted, parts).filter((range) => lengthOf(range) > limits.maxFrames);
    return rulePlaces(bad, black, {
      what: 'black section',
      none:
        black.frames === 0
          ? 'none'
          : `${count(black.frames, 'black frame')}, ${ends} of the sections at head or tail`,
      detail: `black is ${percent(black.area)} of the picture at or below ${percent(black.level)}`,
    });
  }),
  within: 'rule',
});
