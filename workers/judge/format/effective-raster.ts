import { percent } from '../../../jobs/words/quantities.js';
import { doubtAbout, MEASURE_AGAIN, reasonFor } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('effective-raster', {
  title: 'Raster in use',
  why: 'A picture that was scaled up fills the raster but has no more detail than before.',
  expected: ({ least, proof }) =>
    proof
      ? `detail of at least ${percent(least)} of the raster each way`
      : `no sign of a picture scaled up from less than ${percent(least)} of the raster`,
  advice: 'Go back to a source of the full raster: detail that was not shot cannot be restored.',
  rule: onPicture(({ least, proof }, { width, height }, measurement) => {
    const raster = measurement.effective?.raster ?? null;
    const doubt = doubtAbout(measurement, 'effective.raster');
    if (raster === null || doubt !== null) {
      const reason = doubt ?? reasonFor(measurement, 'look at the detail of the picture', 'effective');
      return unmeasured(reason, MEASURE_AGAIN);
    }
    const across = raster.width === null ? null : raster.width / width;
    const down = raster.height === null ? null : raster.height / height;
    const size = `${raster.width ?? 'unknown'} x ${raster.height ?? 'unknown'}`;
    const small = [across, down].some((share) => share !== null && share < least);
    const sure = raster.confidence === 'high';
    if (small && sure) return missed(`detail as of a picture of ${size}`);
    const advice = 'Check the raster in a sharp shot, or on the source.';
    if (small) return unmeasured(`it looks like ${size}, but this is not certain`, advice);
    if (across !== null && down !== null && sure) return met(`detail as of a picture of ${size}`);
    return proof
      ? unmeasured('too little detail, or grain hides it', advice)
      : met('the raster in use is not known, no sign of less');
  }),
});
