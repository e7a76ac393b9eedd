import { level } from '../../../jobs/words/quantities.js';
import { doubtAbout, MEASURE_AGAIN, reasonFor } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('range-flag', {
  title: 'Range flag against the picture',
  why: 'A flag that contradicts the picture washes it out or crushes its blacks.',
  expected: ({ proof }) =>
    proof ? 'levels as the range flag says' : 'no levels that contradict the range flag',
  advice: 'Correct the flag if the picture is right, or the levels if the flag is.',
  rule: onPicture(({ proof }, video, measurement) => {
    const { levels } = measurement;
    const { range } = video.colour;
    if (range === null) {
      return unmeasured('the file declares no range', 'Write narrow or full range into the file.');
    }
    if (levels === null || doubtAbout(measurement, 'levels.looksFullRange') !== null) {
      return unmeasured(reasonFor(measurement, 'levels', 'levels.looksFullRange'), MEASURE_AGAIN);
    }
    const depth = video.bitDepth.declared;
    const seen =
      levels.luma === null
        ? ''
        : `, luma ${level(levels.luma.min, depth)} to ${level(levels.luma.max, depth)}`;
    if (levels.looksFullRange === null) {
      const reason = `flag ${range}${seen}: too few tones to tell the range`;
      return proof
        ? unmeasured(reason, 'Judge a part of the programme with black and white in it.')
        : met(reason);
    }
    const looks = levels.looksFullRange ? 'full' : 'narrow';
    return metIf(looks === range, `flag ${range}, picture ${looks}${seen}`);
  }),
});
