import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { hold, met, missed, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('chroma-siting', {
  title: 'Chroma siting',
  why: 'Chroma placed elsewhere than it says shifts colour against the picture by half a pixel.',
  expected: ({ is }) => `chroma samples sited ${oneOf(is)}`,
  advice: ({ is }) => `Scale the chroma to ${oneOf(is)} and have the file say so.`,
  rule: onPicture(({ is }, { chroma }, measurement) => {
    const { container, bitstream } = measurement.layers;
    if (chroma.declared !== '4:2:0' && chroma.declared !== null) {
      return met(`${chroma.declared}: only 4:2:0 has a choice`);
    }
    const [outer, inner] = [container?.chromaSiting ?? null, bitstream?.chromaSiting ?? null];
    if (outer !== null && inner !== null && outer !== inner) {
      return missed(`container ${outer}; bitstream ${inner}`);
    }
    const found = inner ?? outer;
    if (found === null) return unmeasured('the file does not say where they sit');
    return hold(
      is.some((name) => name === found),
      found,
    );
  }),
});
