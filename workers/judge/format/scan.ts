import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('scan', {
  title: 'Scan and field order',
  why: 'A wrong field order makes motion jump back and forth.',
  expected: ({ is }) => oneOf(is),
  advice: ({ is }) => `Deliver ${oneOf(is)}, and write that into the file.`,
  rule: onPicture(({ is }, { scan }, { layers }) => {
    if (scan === null) return unmeasured('the file declares no scan type');
    const [inContainer, inFrames] = [layers.container?.scan ?? null, layers.bitstream?.scan ?? null];
    // A container that declares no fields is often read as progressive: then the bitstream decides.
    const isFieldsOnly = inContainer !== null && inContainer !== 'progressive';
    if (isFieldsOnly && inFrames !== null && inFrames !== inContainer) {
      return unmeasured(
        `the container declares ${inContainer}, the bitstream ${inFrames}`,
        'Write the same into both: players differ in which they read.',
      );
    }
    return metIf(is.includes(scan), scan);
  }),
});
