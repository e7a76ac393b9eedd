import type { ColourTags } from '../../../jobs/manifest/colour.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unproven } from '../ruling.js';
import { spoken, TAGS, type Tag } from './tags.js';

export const requirement = defineRequirement('colour-layers', {
  title: 'Colour tags in container and bitstream',
  why: 'Programs differ in which layer they believe, so the picture will differ too.',
  expected: 'container and bitstream say the same of colour',
  advice: 'Have both layers carry the colour of the picture.',
  rule: onPicture(({ proof }, { colourByLayer: { container, bitstream } }) => {
    if (container === null || bitstream === null) {
      const silent = container === null ? 'the container' : 'the bitstream';
      return unproven(proof, `${silent} says nothing of colour, or it could not be read`);
    }
    const both = TAGS.filter((tag) => spoken(container[tag]) !== null && spoken(bitstream[tag]) !== null);
    if (both.length === 0) return unproven(proof, 'no tag is stated by both');
    const differing = both.filter((tag) => container[tag] !== bitstream[tag]);
    const say = (tags: ColourTags, names: readonly Tag[]): string =>
      names.map((tag) => `${tag} ${tags[tag]}`).join(', ');
    return differing.length === 0
      ? met(`both ${say(container, both)}`)
      : missed(`container ${say(container, differing)}; bitstream ${say(bitstream, differing)}`);
  }),
});
