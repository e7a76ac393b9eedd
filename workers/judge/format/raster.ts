import { onSteadyPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { metIf } from '../ruling.js';

export const requirement = defineRequirement('raster', {
  title: 'Raster',
  why: 'A picture of another size is scaled later, and gets softer.',
  expected: ({ width, height }) => `${width} x ${height}`,
  advice: ({ width, height }) =>
    `Make the picture ${width} x ${height}, upright and without a rotation flag.`,
  rule: onSteadyPicture(({ width, height }, video) => {
    const flags = [
      ...(video.mirrored ? ['mirrored'] : []),
      ...(video.rotation % 360 !== 0 ? [`turned by ${video.rotation} degrees`] : []),
    ];
    const measured = `${video.width} x ${video.height}${flags.length > 0 ? `, to be ${flags.join(' and ')}` : ''}`;
    return metIf(video.width === width && video.height === height && flags.length === 0, measured);
  }),
  seen: false,
});
