import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('chroma-siting', {
  title: 'Chroma siting',
  why: 'Chroma sited elsewhere than declared shifts the colour by half a pixel against the luma.',
  expected: ({ is }) => `chroma samples sited ${oneOf(is)}`,
  advice: ({ is }) => `Scale the chroma to ${oneOf(is)} and write that into the file.`,
  rule: onPicture(({ is }, { chroma }, measurement) => {
    const { container, bitstream } = measurement.layers;
    if (chroma.declared !== '4:2:0' && chroma.declared !== null) {
      return met(`${chroma.declared}: siting varies only in 4:2:0`);
    }
    const [outer, inner] = [container?.chromaSiting ?? null, bitstream?.chromaSiting ?? null];
    if (outer !== null && inner !== null && outer !== inner) {
      return missed(`container ${outer}; bitstream ${inner}`);
    }
    const found = inner ?? outer;
    if (found === null) return unmeasured('the file declares no chroma siting');
    return metIf(
      is.some((name) => name === found),
      found,
    );
  }),
});
