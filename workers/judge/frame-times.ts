import type { Measurement } from '../../jobs/measurement/measurement.js';

/** Events of frames whose time stamp does not follow the previous one. */
export const STAMP_EVENTS = ['timestamp-gap', 'timestamp-repeat'] as const;

/** Frames differ in duration, so that a number of frames is no measure of time. */
export function isUneven({ video }: Measurement): boolean {
  return video?.constantRate === false;
}
