import type { Measurement } from '../../jobs/measurement/measurement.js';
import { type MeasureOptions, measureFile as measure } from '../../workers/measure/measure-file.js';

/** Measures a file without asking for the version of ffmpeg first: one start less for each file. */
export function measureFile(path: string, options: MeasureOptions = {}): Promise<Measurement> {
  return measure(path, { ffmpegVersion: 'any', ...options });
}
