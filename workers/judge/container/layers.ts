import type { Layer } from '../../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { doubtAbout } from '../doubt.js';

/** What container and bitstream state of one thing, in words; null for one that states nothing. */
export interface Stated {
  readonly container: string | null;
  readonly bitstream: string | null;
}

/**
 * Which layer says nothing of a thing, and why; null where both speak. Where one is silent nothing
 * contradicts or proves.
 */
export function silenceOf(
  measurement: Measurement,
  what: string,
  field: keyof Layer,
  stated: Stated,
): string | null {
  const silent = (['container', 'bitstream'] as const).filter((layer) => stated[layer] === null);
  if (silent.length === 0) return null;
  return silent
    .map((layer) => {
      const doubt = doubtAbout(measurement, `layers.${layer}.${field}`);
      return `the ${layer} says nothing of ${what}${doubt === null ? '' : ` (${doubt})`}`;
    })
    .join(', ');
}

/** `container 25/1; bitstream 24/1`. */
export function bothStated({ container, bitstream }: Stated): string {
  return `container ${container}; bitstream ${bitstream}`;
}
