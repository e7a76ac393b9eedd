import type { Measurement } from '../../jobs/measurement/measurement.js';

/** What a measurement calls frames whose time does not follow from the one before. */
export const STAMP_EVENTS = ['timestamp-gap', 'timestamp-repeat'] as const;

/** Frames are not all shown for the same time, so that a number of them says little of how long. */
export function isUneven({ video }: Measurement): boolean {
  return video?.constantRate === false;
}
