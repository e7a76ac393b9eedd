import type { Tools } from './tools.js';
/**
 * An ffmpeg call as data, before anything is spawned. Options are single arguments, already escaped. Paths
 * are plain paths; `runFfmpeg` makes them literal. An input with `-f lavfi` has the graph in place of the
 * path, and the path of an output with `-f null` does not matter.
 */
export interface FfmpegInput {
  readonly path: string;
  readonly options: readonly string[];
}

export interface FfmpegOutput {
  readonly path: string;
  readonly options: readonly string[];
}

export interface FfmpegCommand {
  readonly inputs: readonly FfmpegInput[];
  readonly outputs: readonly FfmpegOutput[];
}

export interface FfmpegProgress {
  /** Frames written to the first output so far. */
  readonly frames: number;
  /** Position in the output, seconds. */
  readonly seconds: number;
}

export interface FfmpegRunOptions {
  /** Programs to start; those of the PATH when left out. */
  readonly tools?: Tools | undefined;
  /** Milliseconds a killed ffmpeg gets to close its outputs; 5,000 when left out. */
  readonly graceMs?: number | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Kill after this many milliseconds without a sign of life (no line, no progress). */
  readonly stallTimeoutMs?: number | undefined;
  /** Kill after this many milliseconds whatever happens. */
  readonly timeoutMs?: number | undefined;
  /**
   * Every line of the log, with its level: ffmpeg runs with `-loglevel repeat+level+info`. Errors come beside
   * the others, in their own order.
   */
  readonly onLine?: ((line: string) => void) | undefined;
  readonly onProgress?: ((progress: FfmpegProgress) => void) | undefined;
}

/** How a call ended. A non-zero exit is a result here; the caller decides what it means. */
export interface FfmpegResult {
  readonly exitCode: number | null;
  readonly killedBy: 'abort' | 'timeout' | 'stall' | null;
  /** The signal that ended it, or asked it to end; whoever sent it. */
  readonly endedBy: string | null;
  /** Lines at level error or fatal, in order, at most 1,000. */
  readonly errors: readonly string[];
  readonly errorCount: number;
  readonly seconds: number;
  /** The command as a shell would need it written, for logs and for people; never executed. */
  readonly commandLine: string;
}
