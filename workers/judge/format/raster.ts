import { onSteadyPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { hold } from '../ruling.js';

export const requirement = defineRequirement('raster', {
  title: 'Raster',
  why: 'A picture of another size is scaled on the way, and softens.',
  expected: ({ width, height }) => `${width} x ${height}`,
  advice: ({ width, height }) =>
    `Make the picture ${width} x ${height}, upright and without a rotation flag.`,
  rule: onSteadyPicture(({ width, height }, video) => {
    const orders = [
      ...(video.mirrored ? ['mirrored'] : []),
      ...(video.rotation % 360 !== 0 ? [`turned by ${video.rotation} degrees`] : []),
    ];
    const measured = `${video.width} x ${video.height}${orders.length > 0 ? `, to be ${orders.join(' and ')}` : ''}`;
    return hold(video.width === width && video.height === height && orders.length === 0, measured);
  }),
  seen: false,
});
