import { equalRationals, parseRational } from '../../../signal/rational.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unproven } from '../ruling.js';
import { bothStated, silenceOf } from './layers.js';

export const requirement = defineRequirement('aspect-layers', {
  title: 'Sample aspect in container and bitstream',
  why: 'Programs differ in which layer they read, so the shape of the picture will differ too.',
  expected: 'container and bitstream declare the same sample aspect',
  advice: 'Write the sample aspect of the picture into both layers.',
  rule: onPicture(({ proof }, _, measurement) => {
    const { container, bitstream } = measurement.layers;
    const stated = {
      container: container?.sampleAspect ?? null,
      bitstream: bitstream?.sampleAspect ?? null,
    };
    const silent = silenceOf(measurement, 'the sample aspect', 'sampleAspect', stated);
    if (silent !== null) return unproven(proof, silent);
    const [outer, inner] = [parseRational(stated.container ?? ''), parseRational(stated.bitstream ?? '')];
    return outer !== null && inner !== null && equalRationals(outer, inner)
      ? met(`both ${stated.container}`)
      : missed(bothStated(stated));
  }),
});
