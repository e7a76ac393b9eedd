import { equalRationals, parseRational } from '../../../signal/rational.js';
import { doubtAbout } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missed, unmeasured, unproven } from '../ruling.js';
import { bothStated, silenceOf } from './layers.js';

export const requirement = defineRequirement('rate-layers', {
  title: 'Frame rate in container and bitstream',
  why: 'Programs that read the bitstream play the picture at another speed than the sound.',
  expected: 'container and bitstream declare the same frame rate',
  advice: 'Write the rate of the picture into both layers.',
  rule: onPicture(({ proof }, video, measurement) => {
    const inBitstream = measurement.layers.bitstream?.frameRate ?? null;
    const stated = { container: video.frameRate, bitstream: inBitstream?.rate ?? null };
    const silent = silenceOf(measurement, 'the frame rate', 'frameRate', stated);
    if (silent !== null) return unproven(proof, silent);
    const [outer, inner] = [parseRational(stated.container ?? ''), parseRational(stated.bitstream ?? '')];
    if (outer === null || inner === null || !equalRationals(outer, inner)) {
      return inBitstream?.fixed
        ? missed(bothStated(stated))
        : doubtful(`${bothStated(stated)}, which it does not declare to be fixed`);
    }
    // The container's rate is taken from its time stamps, not from a header.
    if (video.constantRate !== true) {
      const reason = doubtAbout(measurement, 'video.constantRate') ?? 'frames of uneven duration';
      return unmeasured(`both ${stated.container}; ${reason}`);
    }
    return met(`both ${stated.container}`);
  }),
});
