import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missed, unproven } from '../ruling.js';
import { bothStated, silenceOf } from './layers.js';

export const requirement = defineRequirement('scan-layers', {
  title: 'Scan in container and bitstream',
  why: 'Programs differ in which layer they read: one shows combing, another does not.',
  expected: 'container and bitstream declare the same scan',
  advice: 'Write the scan of the picture into both layers.',
  rule: onPicture(({ proof, segmented }, _, measurement) => {
    const { container, bitstream } = measurement.layers;
    const stated = { container: container?.scan ?? null, bitstream: bitstream?.scan ?? null };
    const silent = silenceOf(measurement, 'the scan', 'scan', stated);
    if (silent !== null) return unproven(proof, silent);
    if (stated.container === stated.bitstream) return met(`both ${stated.container}`);
    if (segmented && stated.container === 'progressive') {
      return doubtful(
        `${bothStated(stated)}: progressive frames coded as two fields, if nothing moves between them`,
        'Look at motion field by field.',
      );
    }
    return missed(bothStated(stated));
  }),
});
