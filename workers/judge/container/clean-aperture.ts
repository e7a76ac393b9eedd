import { doubtAbout } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { hold, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('clean-aperture', {
  title: 'Clean aperture',
  why: 'Programs that obey the aperture crop the picture, and the others show its edges.',
  expected: ({ width, height }) => `${width} x ${height} to be shown`,
  advice: ({ width, height }) => `Deliver ${width} x ${height} to be shown, and no aperture of another size.`,
  rule: onPicture(({ width, height }, video, measurement) => {
    const { container } = measurement.layers;
    // Only boxes are read for it: of another container it is not known that it has none.
    if (container === null || (measurement.wrapper?.indexFirst ?? null) === null) {
      const doubt = doubtAbout(measurement, 'layers.container.cleanAperture');
      return unmeasured(doubt ?? 'the aperture of this container is not read');
    }
    const shown = container.cleanAperture ?? video;
    const measured = `${shown.width} x ${shown.height}${container.cleanAperture === null ? ', no aperture stated' : ''}`;
    return hold(shown.width === width && shown.height === height, measured);
  }),
});
