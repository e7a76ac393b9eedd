import type { Layer } from '../../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { doubtAbout } from '../doubt.js';

/** What container and bitstream declare of one property, in words; null where a layer does not declare it. */
export interface Declared {
  readonly container: string | null;
  readonly bitstream: string | null;
}

/**
 * Which layer does not declare the property, and why; null where both do. With one layer missing there is
 * neither contradiction nor proof.
 */
export function silenceOf(
  measurement: Measurement,
  what: string,
  field: keyof Layer,
  stated: Declared,
): string | null {
  const silent = (['container', 'bitstream'] as const).filter((layer) => stated[layer] === null);
  if (silent.length === 0) return null;
  return silent
    .map((layer) => {
      const doubt = doubtAbout(measurement, `layers.${layer}.${field}`);
      return `the ${layer} does not declare ${what}${doubt === null ? '' : ` (${doubt})`}`;
    })
    .join(', ');
}

/** `container 25/1; bitstream 24/1`. */
export function bothStated({ container, bitstream }: Declared): string {
  return `container ${container}; bitstream ${bitstream}`;
}
