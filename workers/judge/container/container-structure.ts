import { count } from '../../../jobs/words/numbers.js';
import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { hold, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('container-structure', {
  title: 'Structure of the container',
  why: 'Edit and ingest systems refuse files in pieces, or with bytes they cannot account for.',
  expected: ({ fragments, maxTrailingBytes }) => {
    const bytes = maxTrailingBytes === 0 ? 'nothing' : `at most ${maxTrailingBytes} bytes`;
    return `${fragments ? '' : 'no fragments, '}${bytes} after the last box`;
  },
  advice: 'Write the file again, whole and in one piece.',
  rule: (limits, measurement) => {
    const { fragments = null, trailingBytes = null } = measurement.wrapper ?? {};
    if (fragments === null || trailingBytes === null) {
      const doubt = doubtAbout(measurement, 'wrapper.fragments');
      return unmeasured(doubt ?? 'the structure of this container is not read');
    }
    const holds = (limits.fragments || fragments === 0) && trailingBytes <= limits.maxTrailingBytes;
    return hold(holds, `${count(fragments, 'fragment')}, ${count(trailingBytes, 'byte')} after the last box`);
  },
});
