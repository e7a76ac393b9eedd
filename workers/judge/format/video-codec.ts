import { isNamed } from '../../../jobs/codecs/codec-traits.js';
import { oneOf } from '../../../jobs/words/numbers.js';
import { onPicture } from '../on-picture.js';
import type { Limits } from '../requirement.js';
import { defineRequirement } from '../requirement.js';
import { metIf } from '../ruling.js';

const plain = (profile: string): string => profile.toLowerCase().replace(/[^a-z0-9]/g, '');

const expected = ({ is, profiles }: Limits<'video-codec'>): string =>
  `${oneOf(is)}${profiles === undefined ? '' : `, profile ${oneOf(profiles)}`}`;

export const requirement = defineRequirement('video-codec', {
  title: 'Video codec',
  why: 'Ingest refuses a codec or profile it cannot decode.',
  expected,
  advice: (limits) => `Encode the picture as ${expected(limits)}.`,
  rule: onPicture(({ is, profiles }, { codec, profile }) => {
    const codecHolds = is.some((name) => isNamed(codec, name));
    // A profile that is required but not declared misses (EBU QC 0035W).
    const profileHolds =
      profiles === undefined || (profile !== null && profiles.some((name) => plain(name) === plain(profile)));
    return metIf(codecHolds && profileHolds, `${codec}, profile ${profile ?? 'not declared'}`);
  }),
});
