import type { HdrStaticMetadata } from '../../../jobs/manifest/colour.js';
import type { Layer } from '../../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { significant } from '../../../jobs/words/numbers.js';
import { nits } from '../../../jobs/words/quantities.js';
import { onPicture } from '../on-picture.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, type Ruling, unproven } from '../ruling.js';
import { bothStated, silenceOf } from './layers.js';

/**
 * Units of the metadata: chromaticities in steps of 0.00002, luminances of 0.0001 cd/m2 (ITU-T H.265, D.3.28;
 * from memory).
 */
const CHROMATICITY_STEP = 0.000_02;
const LUMINANCE_STEP = 0.000_1;

export const requirement = defineRequirement('hdr-layers', {
  title: 'HDR metadata in container and bitstream',
  why: 'Programs differ in which layer they read, so displays will map the picture differently.',
  expected: 'container and bitstream declare the same mastering display and light level',
  advice: 'Write the same static metadata into both layers.',
  rule: onPicture(({ proof }, _, measurement) => [
    compare(measurement, proof, DISPLAY),
    compare(measurement, proof, LIGHT_LEVEL),
  ]),
});

/** One piece of metadata that both layers may carry. */
interface Metadata<T extends object> {
  readonly field: 'mastering' | 'lightLevel';
  readonly what: string;
  readonly of: (layer: Layer) => T | null;
  readonly same: (a: T, b: T) => boolean;
  readonly words: (value: T) => string;
}

function compare<T extends object>(
  measurement: Measurement,
  proof: boolean,
  { field, what, of, same, words }: Metadata<T>,
): Ruling {
  const { layers } = measurement;
  const [outer, inner] = [layers.container && of(layers.container), layers.bitstream && of(layers.bitstream)];
  const stated = { container: outer && words(outer), bitstream: inner && words(inner) };
  const silent = silenceOf(measurement, what, field, stated);
  if (silent !== null || outer === null || inner === null) return unproven(proof, silent ?? '');
  return same(outer, inner)
    ? met(`${what}: both ${stated.container}`)
    : missed(`${what}: ${bothStated(stated)}`);
}

const LIGHT_LEVEL: Metadata<NonNullable<Layer['lightLevel']>> = {
  field: 'lightLevel',
  what: 'the light level',
  of: ({ lightLevel }) => lightLevel,
  same: (a, b) => a.maxCll === b.maxCll && a.maxFall === b.maxFall,
  words: ({ maxCll, maxFall }) => `MaxCLL ${maxCll}, MaxFALL ${maxFall}`,
};

const DISPLAY: Metadata<Display> = {
  field: 'mastering',
  what: 'the mastering display',
  of: ({ mastering }) => mastering,
  same: sameDisplay,
  words: displayWords,
};

type Display = NonNullable<HdrStaticMetadata['mastering']>;
const POINTS = ['red', 'green', 'blue', 'white'] as const;

function sameDisplay(a: Display, b: Display): boolean {
  // Less than one step apart: the same number, written in another unit.
  const near = (x: number, y: number, step: number): boolean => Math.abs(x - y) < step * 0.75;
  return (
    POINTS.every(
      (name) =>
        near(a[name][0], b[name][0], CHROMATICITY_STEP) && near(a[name][1], b[name][1], CHROMATICITY_STEP),
    ) &&
    near(a.minLuminance, b.minLuminance, LUMINANCE_STEP) &&
    near(a.maxLuminance, b.maxLuminance, LUMINANCE_STEP)
  );
}

function displayWords(display: Display): string {
  const points = POINTS.map(
    (name) => `${name} ${display[name].map((value) => significant(value, 5)).join(' ')}`,
  );
  return `${points.join(', ')}, ${nits(display.minLuminance)} to ${nits(display.maxLuminance)}`;
}
