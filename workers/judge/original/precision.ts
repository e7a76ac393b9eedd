import type { PictureComparison } from '../../../jobs/measurement/measured-comparison.js';
import { bitsKeptText, mistakeText } from '../../compare/words.js';
import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

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
    if (bitsKept < Math.min(minBits, depth)) return missed(kept);
    // Other noise and another dull picture are no further off than coarse coding is.
    return isRecognised(comparison)
      ? met(kept)
      : unmeasured(NOT_ITS_OWN, 'Look at the copy beside its original.');
  },
});

const NOT_ITS_OWN =
  'its samples do not follow those of the original: another picture, or grain that coding lost';
/** Below this correlation nothing shows that a picture is that of the original (chosen, no source). */
const LEAST_CORRELATION = 0.5;
/** Errors below this RMS, of the scale, leave no room for another picture that could be seen. */
const SEEN = 0.01;

/** Whether the light of a copy follows that of its original, or differs by next to nothing. Pure. */
function isRecognised({ planes, depth }: PictureComparison): boolean {
  const light = planes.filter(({ plane }) => plane !== 'Cb' && plane !== 'Cr');
  return light.some(
    ({ rmsError, correlation }) =>
      rmsError <= SEEN * 2 ** depth || (correlation !== null && correlation >= LEAST_CORRELATION),
  );
}
