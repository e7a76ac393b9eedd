import { bitsKeptText, mistakeText } from '../../compare/words.js';
import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, unmeasured } from '../ruling.js';

const WITH_ITS_ORIGINAL = 'Check the copy together with its original.';

export const requirement = defineRequirement('precision', {
  title: 'Precision kept',
  why: 'What a copy does not keep of the picture cannot be graded any more.',
  expected: ({ minBits }) => `at least ${minBits} bits of the original's, or all it has`,
  advice: 'Use a codec that keeps more: one without loss, or with more bits.',
  rule: ({ minBits }, measurement, { original }) => {
    if (measurement.video === null && original?.video === null) return met('no picture, as the original');
    const { comparison } = measurement;
    if (comparison === null) {
      const reason =
        doubtAbout(measurement, 'comparison') ??
        (original === undefined ? 'no original to compare it with' : 'it was not compared with its original');
      return unmeasured(reason, WITH_ITS_ORIGINAL);
    }
    const { mistake, bitsKept, depth } = comparison;
    const kept = bitsKeptText(comparison);
    if (mistake !== null) {
      return missed(`${mistakeText(mistake)}; ${kept}`, {
        advice: 'Make the copy again from its original, without this mistake.',
      });
    }
    return metIf(bitsKept >= Math.min(minBits, depth), kept);
  },
});
