import type { Layer } from '../../../jobs/measurement/measured-container.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unproven } from '../ruling.js';
import { bothStated, silenceOf } from './layers.js';

/**
 * A container may declare the raster padded to whole macroblocks: 16 lines and columns, 32 lines where fields
 * are coded separately.
 */
const MACROBLOCKS = [16, 32] as const;

export const requirement = defineRequirement('raster-layers', {
  title: 'Raster in container and bitstream',
  why: 'Programs that read the container scale or crop the picture to a wrong size.',
  expected: 'container and bitstream declare the same raster',
  advice: 'Wrap the stream again, so that the container declares the raster of the bitstream.',
  rule: onPicture(({ proof }, _, measurement) => {
    const { container, bitstream } = measurement.layers;
    const [outer, inner] = [container?.raster ?? null, bitstream?.raster ?? null];
    const stated = { container: words(outer), bitstream: words(inner) };
    const silent = silenceOf(measurement, 'the raster', 'raster', stated);
    if (silent !== null || outer === null || inner === null) return unproven(proof, silent ?? '');
    if (stated.container === stated.bitstream) return met(`both ${stated.container}`);
    return isPadded(inner.width, outer.width, [MACROBLOCKS[0]]) &&
      isPadded(inner.height, outer.height, MACROBLOCKS)
      ? met(`${bothStated(stated)}, padded to whole macroblocks`)
      : missed(bothStated(stated));
  }),
});

function words(raster: Layer['raster']): string | null {
  return raster && `${raster.width} x ${raster.height}`;
}

function isPadded(shown: number, stored: number, blocks: readonly number[]): boolean {
  return stored === shown || blocks.some((size) => stored === Math.ceil(shown / size) * size);
}
