import { oneOf } from '../../../jobs/words/numbers.js';
import { onSteadyPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('chroma', {
  title: 'Chroma subsampling',
  why: 'Colour detail that was discarded is missing for keying and grading.',
  expected: ({ declared }) => oneOf(declared),
  advice: ({ declared }) => `Encode the picture as ${oneOf(declared)} from a source that has it.`,
  rule: onSteadyPicture(({ declared }, { chroma, pixelFormat }) => {
    const found = chroma.declared;
    if (found === null) {
      const reason = `${pixelFormat} has no named chroma sampling`;
      return unmeasured(reason, `Encode the picture as ${oneOf(declared)}.`);
    }
    return metIf(declared.includes(found), found);
  }),
  seen: false,
});
