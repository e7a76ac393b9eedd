import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { hold, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('scan', {
  title: 'Scan and field order',
  why: 'A wrong field order makes motion jump back and forth.',
  expected: ({ is }) => oneOf(is),
  advice: ({ is }) => `Deliver ${oneOf(is)}, and have the file say so.`,
  rule: onPicture(({ is }, { scan }) =>
    scan === null ? unmeasured('the file states no scan type') : hold(is.includes(scan), scan),
  ),
});
