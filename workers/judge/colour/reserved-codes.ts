import { count } from '../../../jobs/words/numbers.js';
import { onSection } from '../on-picture.js';
import { framesAt } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('reserved-codes', {
  title: 'Codes reserved by SDI',
  why: 'SDI uses these codes for timing signals: in the picture they break it up.',
  expected: (_, { video }) => {
    const depth = video?.bitDepth.declared ?? 10;
    const kept =
      depth === 8
        ? '0 and 255'
        : `0 to ${2 ** (depth - 8) - 1} and ${2 ** depth - 2 ** (depth - 8)} to ${2 ** depth - 1}`;
    return `no sample at ${kept} (${depth} bits), which SDI reserves`;
  },
  advice: 'Limit the picture to the codes a video interface can carry.',
  rule: onSection(
    'levels',
    { what: 'levels', subject: 'levels.reservedCodes' },
    (_, { reservedCodes: { samples, firstFrame } }, measurement) => {
      if (samples === 0) return met('none');
      const first = firstFrame === null ? '' : `, the first in frame ${firstFrame}`;
      return missed(`${count(samples, 'sample')}${first}`, {
        at: firstFrame === null ? [] : [framesAt(measurement, firstFrame, firstFrame + 1)],
      });
    },
  ),
  /**
   * Only the first frame is known: parts that end before it pass, a part that contains it does not, and of
   * later parts nothing is known.
   */
  within: (_, measurement, { parts }) => {
    const first = measurement.levels?.reservedCodes.firstFrame ?? null;
    if (first === null) return unmeasured('the frames are not known');
    if (parts?.some(({ from, to }) => from <= first && first < to)) {
      return missed(`some, the first in frame ${first}`, { at: [framesAt(measurement, first, first + 1)] });
    }
    return parts?.every(({ to }) => to <= first)
      ? met(`none before frame ${first}`)
      : unmeasured(`the first is in frame ${first}; the other frames are not known`);
  },
});
