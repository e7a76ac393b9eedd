import { equalRationals, formatRational, parseRational } from '../../../signal/rational.js';
import { onSteadyPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('sample-aspect', {
  title: 'Sample aspect ratio',
  why: 'A wrong sample aspect shows the picture squeezed or stretched.',
  expected: ({ is }) => `sample aspect ${is}`,
  advice: ({ is }) => `Write a sample aspect of ${is} into the file.`,
  rule: onSteadyPicture(
    ({ is }, { sampleAspect }) => {
      const expected = parseRational(is);
      const given = parseRational(sampleAspect ?? '');
      if (given === null || expected === null) return unmeasured('the file declares no sample aspect');
      return metIf(equalRationals(given, expected), formatRational(given));
    },
    ['aspect-change'],
  ),
  seen: false,
});
