import { oneOf } from '../../../jobs/words/numbers.js';
import { samplesContradiction } from '../../probe/boxes/codec-record.js';
import { onSteadyPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('chroma', {
  title: 'Chroma subsampling',
  why: 'Colour detail that was discarded is missing for keying and grading.',
  expected: ({ declared }) => oneOf(declared),
  advice: ({ declared }) => `Encode the picture as ${oneOf(declared)} from a source that has it.`,
  rule: onSteadyPicture(({ declared }, { bitDepth, chroma, pixelFormat }, { layers }) => {
    const found = chroma.declared;
    if (found === null) {
      const reason = `${pixelFormat} has no named chroma sampling`;
      return unmeasured(reason, `Encode the picture as ${oneOf(declared)}.`);
    }
    if (!declared.includes(found)) return missed(found);
    const contradiction = samplesContradiction(layers.container?.samples ?? null, {
      bitDepth: layers.container?.samples?.bitDepth ?? bitDepth.declared,
      chroma: found,
    });
    return contradiction === null ? met(found) : unmeasured(contradiction, 'Wrap the stream again.');
  }),
  seen: false,
});
