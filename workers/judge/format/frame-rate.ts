import { oneOf } from '../../../jobs/words/numbers.js';
import { equalRationals, parseRational } from '../../../signal/rational.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('frame-rate', {
  title: 'Frame rate',
  why: 'At a wrong rate the picture drifts from sound and timecode, or judders once it is converted.',
  expected: ({ is }) => `${oneOf(is)} frames/s`,
  advice: ({ is }) =>
    `Deliver at ${oneOf(is)} frames/s; convert the rate in the edit, do not just change the flag.`,
  rule: onPicture(({ is }, { frameRate }) => {
    const rate = parseRational(frameRate ?? '');
    if (rate === null) return unmeasured('the file declares no frame rate');
    const holds = is.some((text) => {
      const expected = parseRational(text);
      return expected !== null && equalRationals(rate, expected);
    });
    return metIf(holds, `${rate.num}/${rate.den} frames/s`);
  }),
});
