import { quantity } from '../../../jobs/words/quantities.js';
import { doubtAbout } from '../doubt.js';
import { onEachStream } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, unmeasured } from '../ruling.js';
import { ROUNDING_DB } from './programme-loudness.js';

export const requirement = defineRequirement('true-peak', {
  title: 'True peak',
  why: 'Peaks between the samples distort in converters and in lossy coding.',
  expected: ({ max, tolerance = 0 }) => {
    const more = tolerance === 0 ? '' : ` and ${tolerance} dB more`;
    return `true peak at most ${max} dBTP${more}, ITU-R BS.1770-5 Annex 2`;
  },
  advice: 'Limit the true peaks in the mix, then normalise again.',
  rule: onEachStream(({ max, tolerance = 0 }, { stream, index, measurement }) => {
    const doubt = doubtAbout(measurement, `audio[${index}].truePeakDbtp`, 'true-peak');
    if (doubt !== null) return unmeasured(doubt);
    const { truePeakDbtp, samples } = stream;
    if (truePeakDbtp === null) {
      return samples === 0
        ? unmeasured('no samples were decoded', 'Check that the sound can be decoded.')
        : met('every sample is zero');
    }
    return metIf(truePeakDbtp <= max + tolerance + ROUNDING_DB, quantity(truePeakDbtp, 'dBTP'));
  }),
});
