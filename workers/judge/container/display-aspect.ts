import { fixed } from '../../../jobs/words/numbers.js';
import { percent } from '../../../jobs/words/quantities.js';
import {
  equalRationals,
  formatRational,
  parseRational,
  rational,
  toNumber,
} from '../../../signal/rational.js';
import { onSteadyPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('display-aspect', {
  title: 'Display aspect ratio',
  why: 'A picture of another shape is shown with bars, or squeezed.',
  expected: ({ is, tolerance }) =>
    `display aspect ${is}${tolerance > 0 ? ` within ${percent(tolerance)}` : ''}`,
  advice: ({ is }) => `Deliver a picture of ${is}, and write its sample aspect into the file.`,
  rule: onSteadyPicture(
    ({ is, tolerance }, { width, height, sampleAspect, rotation }) => {
      const expected = parseRational(is);
      const sample = parseRational(sampleAspect ?? '');
      if (sample === null || expected === null) return unmeasured('the file declares no sample aspect');
      const upright = rational(width * sample.num, height * sample.den);
      const shown = rotation % 180 === 0 ? upright : rational(upright.den, upright.num);
      const off = Math.abs(toNumber(shown) / toNumber(expected) - 1);
      const holds = tolerance > 0 ? off <= tolerance : equalRationals(shown, expected);
      return metIf(holds, `${formatRational(shown)} (${fixed(toNumber(shown), 4)})`);
    },
    // A raster of another size changes the shape too, whatever the sample aspect is.
    ['aspect-change', 'format-change'],
  ),
});
