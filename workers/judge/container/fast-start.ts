import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

const EXPECTED = 'the index before the samples';

export const requirement = defineRequirement('fast-start', {
  title: 'Index in front (fast start)',
  why: 'With the index at the end a player must fetch the whole file before its first frame.',
  expected: EXPECTED,
  advice: 'Write the file again with the index in front.',
  rule: (_, measurement) => {
    const indexFirst = measurement.wrapper?.indexFirst ?? null;
    if (indexFirst !== null) return indexFirst ? met(EXPECTED) : missed('the index after the samples');
    const reason =
      measurement.wrapper === null
        ? 'the measurement does not include the index'
        : 'only MOV and MP4 have such an index';
    return unmeasured(doubtAbout(measurement, 'wrapper.indexFirst') ?? reason);
  },
});
