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
import { hold, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('display-aspect', {
  title: 'Display aspect ratio',
  why: 'Another shape is shown with bars, or squeezed.',
  expected: ({ is, tolerance }) =>
    `display aspect ${is}${tolerance > 0 ? ` within ${percent(tolerance)}` : ''}`,
  advice: ({ is }) => `Deliver a picture of ${is}, and have the file state its sample aspect.`,
  rule: onSteadyPicture(
    ({ is, tolerance }, { width, height, sampleAspect, rotation }) => {
      const expected = parseRational(is);
      const sample = parseRational(sampleAspect ?? '');
      if (sample === null || expected === null) return unmeasured('the file states no sample aspect');
      const upright = rational(width * sample.num, height * sample.den);
      const shown = rotation % 180 === 0 ? upright : rational(upright.den, upright.num);
      const off = Math.abs(toNumber(shown) / toNumber(expected) - 1);
      const holds = tolerance > 0 ? off <= tolerance : equalRationals(shown, expected);
      return hold(holds, `${formatRational(shown)} (${fixed(toNumber(shown), 4)})`);
    },
    // A raster of another size is another shape too, whatever its samples are.
    ['aspect-change', 'format-change'],
  ),
});
