import type { Layer } from '../../../jobs/measurement/measured-container.js';
import { oneOf } from '../../../jobs/words/numbers.js';
import { doubtAbout } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { metIf, missed, unmeasured } from '../ruling.js';

const plain = (name: string): string => name.toLowerCase().replace(/[^a-z0-9.]/g, '');

const expected = ({ profiles, levels }: Limits<'codec-level'>): string =>
  `profile ${oneOf(profiles)}, level ${oneOf(levels)}`;

export const requirement = defineRequirement('codec-level', {
  title: 'Codec profile and level',
  why: 'A decoder is built for certain profiles and levels and cannot play others.',
  expected,
  advice: (limits) => `Encode the picture as ${expected(limits)}.`,
  rule: onPicture(({ profiles, levels }, { codec }, measurement) => {
    const { container, bitstream } = measurement.layers;
    const doubt = doubtAbout(measurement, 'layers.bitstream.level');
    if (bitstream === null || doubt !== null) {
      return unmeasured(doubt ?? 'the bitstream headers could not be read');
    }
    if (bitstream.profile === null && bitstream.level === null) {
      return unmeasured(`a ${codec} stream declares neither, or its headers cannot be read here`);
    }
    if (container !== null && contradicts(container, bitstream)) {
      return missed(`container ${words(container)}; bitstream ${words(bitstream)}`, {
        advice: 'Wrap the stream again, so that the container declares the same as the bitstream.',
      });
    }
    const { profile, level } = bitstream;
    // Profile and level are both required: one that is not declared misses (EBU QC 0035W).
    const holds =
      profile !== null &&
      level !== null &&
      profiles.some((name) => plain(name) === plain(profile)) &&
      levels.some((name) => plain(name) === plain(level));
    return metIf(holds, words(bitstream));
  }),
});

function words({ profile, level }: Layer): string {
  return `profile ${profile ?? 'not declared'}, level ${level ?? 'not declared'}`;
}

function contradicts(container: Layer, bitstream: Layer): boolean {
  return (
    (container.profile !== null && container.profile !== bitstream.profile) ||
    (container.level !== null && container.level !== bitstream.level)
  );
}
