import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { hold, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('scan', {
  title: 'Scan and field order',
  why: 'A wrong field order makes motion jump back and forth.',
  expected: ({ is }) => oneOf(is),
  advice: ({ is }) => `Deliver ${oneOf(is)}, and have the file say so.`,
  rule: onPicture(({ is }, { scan }, { layers }) => {
    if (scan === null) return unmeasured('the file states no scan type');
    const [inContainer, inFrames] = [layers.container?.scan ?? null, layers.bitstream?.scan ?? null];
    // A container that says nothing of fields is often read as progressive: then the frames count.
    const isFieldsOnly = inContainer !== null && inContainer !== 'progressive';
    if (isFieldsOnly && inFrames !== null && inFrames !== inContainer) {
      return unmeasured(
        `the container says ${inContainer}, the frames say ${inFrames}`,
        'Have both say the same: players differ in which they believe.',
      );
    }
    return hold(is.includes(scan), scan);
  }),
});
