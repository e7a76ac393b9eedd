import type { ChromaName } from '../../../jobs/manifest/colour.js';
import { doubtAbout, MEASURE_AGAIN, reasonFor } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

/**
 * From the least chroma to the most. 4:1:1 has fewer samples across than 4:2:0 and more lines: neither holds
 * the other.
 */
const CHROMA_ORDER: readonly ChromaName[] = ['4:0:0', '4:2:0', '4:2:2', '4:4:4'];
const rank = (name: ChromaName): number => CHROMA_ORDER.indexOf(name);

export const requirement = defineRequirement('effective-chroma', {
  title: 'Chroma in use',
  why: 'Chroma made up from fewer samples keys and grades no better than those samples did.',
  expected: ({ least, proof }) =>
    proof ? `chroma of ${least} or more in use` : `no sign of chroma of less than ${least}`,
  advice: ({ least }) => `Go back to a source with ${least}: chroma that was thrown away cannot be made up.`,
  rule: onPicture(({ least, proof }, { chroma }, measurement) => {
    const { declared, effective, confidence } = chroma;
    if (declared !== null && rank(declared) < rank(least)) return missed(`${declared} declared`);
    const doubt = doubtAbout(measurement, 'effective', 'video.chroma.effective');
    if (measurement.effective === null || doubt !== null) {
      const reason = doubt ?? reasonFor(measurement, 'look at the detail of the picture', 'effective');
      return unmeasured(reason, MEASURE_AGAIN);
    }
    const said = `${declared ?? 'no named sampling'} declared`;
    if (effective === null && !proof) {
      return met(`${said}; how much is in use cannot be told, no sign of less`);
    }
    if (effective === null || confidence === 'low') {
      const reason =
        effective === null
          ? 'too little chroma detail, or grain and coding cover it'
          : `it looks like ${effective}, but not for sure`;
      return unmeasured(reason, 'Judge chroma by a part with sharp colours, or by the source.');
    }
    if (rank(effective) < rank(least)) return missed(`${said}, ${effective} in use`);
    return met(`${effective} in use`);
  }),
});
