import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { FfmpegOutput, FfmpegResult } from '../../ffmpeg/command.js';

/**
 * Measuring rides on an ffmpeg process that somebody else runs: the tap adds outputs (named pipes that carry
 * decoded samples at their own depth) to the command, listens to its log, and gives the measurement when the
 * process has ended. One decode so serves both the outputs of a clip and the measurement of the clip itself.
 */
export interface MeasureTap {
  /** Outputs to append to the ffmpeg command. */
  readonly outputs: readonly FfmpegOutput[];
  /** Give every log line here. */
  onLine(line: string): void;
  /** After ffmpeg has ended: closes the pipes, waits for the kernels, returns the figures. Never throws on damage: damage is a figure. */
  finish(result: FfmpegResult): Promise<Measurement>;
  /** After a failure elsewhere: frees threads and pipes. Safe to call twice. */
  abandon(): Promise<void>;
}
