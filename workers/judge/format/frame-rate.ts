import { oneOf } from '../../../jobs/words/numbers.js';
import { equalRationals, parseRational } from '../../../signal/rational.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { hold, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('frame-rate', {
  title: 'Frame rate',
  why: 'A wrong rate drifts from sound and timecode, or is converted and judders.',
  expected: ({ is }) => `${oneOf(is)} frames/s`,
  advice: ({ is }) => `Deliver at ${oneOf(is)} frames/s; change the rate in the edit, not by a flag.`,
  rule: onPicture(({ is }, { frameRate }) => {
    const rate = parseRational(frameRate ?? '');
    if (rate === null) return unmeasured('the file states no frame rate');
    const holds = is.some((text) => {
      const expected = parseRational(text);
      return expected !== null && equalRationals(rate, expected);
    });
    return hold(holds, `${rate.num}/${rate.den} frames/s`);
  }),
});
