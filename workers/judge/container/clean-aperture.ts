import { doubtAbout } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('clean-aperture', {
  title: 'Clean aperture',
  why: 'Programs that follow the clean aperture crop the picture; others show its edges.',
  expected: ({ width, height }) => `a displayed picture of ${width} x ${height}`,
  advice: ({ width, height }) =>
    `Deliver a picture of ${width} x ${height}, without a clean aperture of another size.`,
  rule: onPicture(({ width, height }, video, measurement) => {
    const { container } = measurement.layers;
    // It is read from MOV and MP4 boxes only: another container may have one that is not seen.
    if (container === null || (measurement.wrapper?.indexFirst ?? null) === null) {
      const doubt = doubtAbout(measurement, 'layers.container.cleanAperture');
      return unmeasured(doubt ?? 'the clean aperture is read from MOV and MP4 only');
    }
    const shown = container.cleanAperture ?? video;
    const measured = `${shown.width} x ${shown.height}${container.cleanAperture === null ? ', no clean aperture' : ''}`;
    return metIf(shown.width === width && shown.height === height, measured);
  }),
});
