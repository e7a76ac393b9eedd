import type { ContainerTrack } from '../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';

/** The container's own track of the picture; null where none was read. */
export function pictureTrack(measurement: Measurement): ContainerTrack | null {
  return measurement.wrapper?.tracks.find(({ kind }) => kind === 'video') ?? null;
}
