import type { ColourTags } from '../../../jobs/manifest/colour.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unproven } from '../ruling.js';
import { statedTag, TAGS, type Tag } from './tags.js';

export const requirement = defineRequirement('colour-layers', {
  title: 'Colour tags in container and bitstream',
  why: 'Programs differ in which layer they read, so they will show the picture differently.',
  expected: 'container and bitstream declare the same colour',
  advice: 'Write the colour of the picture into both layers.',
  rule: onPicture(({ proof }, { colourByLayer: { container, bitstream } }) => {
    if (container === null || bitstream === null) {
      const silent = container === null ? 'the container' : 'the bitstream';
      return unproven(proof, `${silent} declares no colour, or could not be read`);
    }
    const both = TAGS.filter(
      (tag) => statedTag(container[tag]) !== null && statedTag(bitstream[tag]) !== null,
    );
    if (both.length === 0) return unproven(proof, 'no tag is declared by both');
    const differing = both.filter((tag) => container[tag] !== bitstream[tag]);
    const inWords = (tags: ColourTags, names: readonly Tag[]): string =>
      names.map((tag) => `${tag} ${tags[tag]}`).join(', ');
    return differing.length === 0
      ? met(`both ${inWords(container, both)}`)
      : missed(`container ${inWords(container, differing)}; bitstream ${inWords(bitstream, differing)}`);
  }),
});
