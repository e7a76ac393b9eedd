import type { Colour } from '../../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { Layer } from '../../../jobs/measurement/measured-container.js';
import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import type { FfmpegOutput, FfmpegResult } from '../../ffmpeg/command.js';
import type { Tools } from '../../ffmpeg/tools.js';
import type { Asked } from '../../probe/asked.js';
import type { FrameFigures } from '../figures/frame-table.js';
import type { KeepFrames } from './kept-frames.js';

export interface TapOptions {
  /** Path of the decoded file, as written in the measurement. */
  readonly path: string;
  readonly facts: ClipFacts;
  /** What the bitstream alone declares, where it was read with the facts of the very same file. */
  readonly bitstream?: Layer | null | undefined;
  /** Colour of the picture; null: as declared by the tags of the file. */
  readonly colour: Colour | null;
  readonly signal?: AbortSignal | undefined;
  /** Every figure of every frame, once all are measured: for tables. */
  readonly onFrameFigures?: ((figures: FrameFigures) => void) | undefined;
  /** Frames to write aside; not where parts are measured. */
  readonly keep?: KeepFrames | undefined;
  /** Frames measured so far. */
  readonly onFrames?: ((frames: number) => void) | undefined;
  readonly method: { readonly ffmpeg: string; readonly goodgate: string };
  /** Index of the file among the inputs of the ffmpeg command. */
  readonly input?: number | undefined;
  /** What ffprobe was asked of this file already. */
  readonly asked?: Asked | undefined;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
}

/**
 * Measures within an ffmpeg process that the caller runs: the tap adds outputs (named pipes with decoded
 * samples at their own depth) to the command, reads its log, and returns the figures when the process has
 * ended. So one decode serves both the outputs of a clip and the measurement of the clip itself.
 */
export interface MeasureTap {
  /** Outputs to append to the ffmpeg command. */
  readonly outputs: readonly FfmpegOutput[];
  /** Pass every log line here. */
  onLine(line: string): void;
  /**
   * After ffmpeg has ended: closes the pipes, waits for the kernels, returns the figures. Never throws on
   * damage: damage is a figure.
   */
  finish(result: FfmpegResult): Promise<MeasuredFigures>;
  /** After a failure elsewhere: frees threads and pipes. Safe to call twice. */
  abandon(): Promise<void>;
}
