import { count } from '../../../jobs/words/numbers.js';
import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('container-structure', {
  title: 'Structure of the container',
  why: 'Edit and ingest systems refuse fragmented files, or files with bytes they do not understand.',
  expected: ({ fragments, maxTrailingBytes }) => {
    const bytes = maxTrailingBytes === 0 ? 'nothing' : `at most ${maxTrailingBytes} bytes`;
    return `${fragments ? '' : 'no fragments, '}${bytes} after the last box`;
  },
  advice: 'Write the file again without fragments or trailing bytes.',
  rule: (limits, measurement) => {
    const { fragments = null, trailingBytes = null } = measurement.wrapper ?? {};
    if (fragments === null || trailingBytes === null) {
      const doubt = doubtAbout(measurement, 'wrapper.fragments');
      return unmeasured(doubt ?? 'the structure is read of MOV and MP4 only');
    }
    const holds = (limits.fragments || fragments === 0) && trailingBytes <= limits.maxTrailingBytes;
    return metIf(
      holds,
      `${count(fragments, 'fragment')}, ${count(trailingBytes, 'byte')} after the last box`,
    );
  },
});
