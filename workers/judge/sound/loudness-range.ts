import { quantity } from '../../../jobs/words/quantities.js';
import { duration } from '../../../jobs/words/times.js';
import { doubtAbout } from '../doubt.js';
import { onEachStream } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missed, unmeasured } from '../ruling.js';
import { loudnessObstacle, over, ROUNDING_DB } from './programme-loudness.js';

/** Shorter programmes have too few windows for reliable percentiles (EBU Tech 3342, from memory). */
const SHORTEST_RANGE_SECONDS = 60;

export const requirement = defineRequirement('loudness-range', {
  title: 'Loudness range',
  why: 'With too wide a range quiet parts are lost at home and loud ones are a nuisance; the local rules of the broadcaster decide.',
  expected: ({ min, max, tolerance }) => {
    const limits = min === undefined ? `at most ${max} LU` : `${min} to ${max} LU`;
    return `loudness range ${limits}${over(tolerance)}, EBU Tech 3342 v4`;
  },
  advice: 'Narrow or widen the dynamics in the mix, not with a compressor on the finished programme.',
  rule: onEachStream(({ min = 0, max, tolerance }, one) => {
    const doubt = doubtAbout(one.measurement, `audio[${one.index}].loudnessRange`);
    if (doubt !== null) return unmeasured(doubt);
    const obstacle = loudnessObstacle(one);
    if (obstacle !== null) return obstacle;
    const { loudnessRange: value, durationSeconds } = one.stream;
    if (value === null) return unmeasured('no window of 3 s is above the gate at -70 LUFS');
    const measured = quantity(value, 'LU');
    const more = tolerance + ROUNDING_DB;
    if (value > max + more || value < min - more) return missed(measured);
    return durationSeconds < SHORTEST_RANGE_SECONDS
      ? doubtful(
          `${measured}, of ${duration(durationSeconds)}`,
          'Do not rely on the loudness range of so short a programme.',
        )
      : met(measured);
  }),
});
