import type { ChromaName } from '../../../jobs/manifest/colour.js';
import { doubtAbout, MEASURE_AGAIN, reasonFor } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

/**
 * From the least chroma to the most. 4:1:1 is not in it: it has fewer samples across than 4:2:0, but more
 * lines.
 */
const CHROMA_ORDER: readonly ChromaName[] = ['4:0:0', '4:2:0', '4:2:2', '4:4:4'];
const rank = (name: ChromaName): number => CHROMA_ORDER.indexOf(name);

export const requirement = defineRequirement('effective-chroma', {
  title: 'Chroma in use',
  why: 'Chroma interpolated from fewer samples keys and grades no better than those samples.',
  expected: ({ least, proof }) =>
    proof ? `chroma of ${least} or more in use` : `no sign of chroma of less than ${least}`,
  advice: ({ least }) => `Go back to a source with ${least}: chroma that was discarded cannot be restored.`,
  rule: onPicture(({ least, proof }, { chroma }, measurement) => {
    const { declared, effective, confidence } = chroma;
    if (declared !== null && rank(declared) < rank(least)) return missed(`${declared} declared`);
    const doubt = doubtAbout(measurement, 'effective', 'video.chroma.effective');
    if (measurement.effective === null || doubt !== null) {
      const reason = doubt ?? reasonFor(measurement, 'look at the detail of the picture', 'effective');
      return unmeasured(reason, MEASURE_AGAIN);
    }
    const asDeclared = `${declared ?? 'no named sampling'} declared`;
    if (effective === null && !proof) {
      return met(`${asDeclared}; the chroma in use is not known, no sign of less`);
    }
    if (effective === null || confidence === 'low') {
      const reason =
        effective === null
          ? 'too little chroma detail, or grain and coding hide it'
          : `it looks like ${effective}, but this is not certain`;
      return unmeasured(reason, 'Check the chroma in a part with sharp colours, or on the source.');
    }
    if (rank(effective) < rank(least)) return missed(`${asDeclared}, ${effective} in use`);
    return met(`${effective} in use`);
  }),
});
