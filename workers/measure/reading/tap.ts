import type { Colour } from '../../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import type { FfmpegOutput, FfmpegResult } from '../../ffmpeg/command.js';
import type { Tools } from '../../ffmpeg/tools.js';
import type { FrameFigures } from '../figures/frame-table.js';

export interface TapOptions {
  /** The file that is decoded, as it is to stand in the measurement. */
  readonly path: string;
  readonly facts: ClipFacts;
  /** What the code values mean; null: as the file's tags say, tag by tag. */
  readonly colour: Colour | null;
  readonly signal?: AbortSignal | undefined;
  /** Every figure of every frame, once all are measured: for tables. */
  readonly onFrameFigures?: ((figures: FrameFigures) => void) | undefined;
  /** Frames measured so far. */
  readonly onFrames?: ((frames: number) => void) | undefined;
  readonly method: { readonly ffmpeg: string; readonly goodgate: string };
  /** Index of the file among the inputs of the ffmpeg command. */
  readonly input?: number | undefined;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
}

/**
 * Measuring rides on an ffmpeg process that somebody else runs: the tap adds outputs (named pipes that carry
 * decoded samples at their own depth) to the command, listens to its log, and gives the figures when the
 * process has ended. One decode so serves both the outputs of a clip and the measurement of the clip itself.
 */
export interface MeasureTap {
  /** Outputs to append to the ffmpeg command. */
  readonly outputs: readonly FfmpegOutput[];
  /** Give every log line here. */
  onLine(line: string): void;
  /**
   * After ffmpeg has ended: closes the pipes, waits for the kernels, returns the figures. Never throws on
   * damage: damage is a figure.
   */
  finish(result: FfmpegResult): Promise<MeasuredFigures>;
  /** After a failure elsewhere: frees threads and pipes. Safe to call twice. */
  abandon(): Promise<void>;
}
