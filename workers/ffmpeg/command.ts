import type { Tools } from './tools.js';

/**
 * An ffmpeg call as data. Options are single arguments, already escaped. Paths are plain paths; `runFfmpeg`
 * quotes them. An input with `-f lavfi` has the filter graph instead of the path; the path of an output with
 * `-f null` is not used.
 */
export interface FfmpegInput {
  /** Of a picture sequence with `#` in place of the number. */
  readonly path: string;
  /** Frames a second of a picture sequence, as a rational; absent or null: as its headers say. */
  readonly rate?: string | null | undefined;
  readonly options: readonly string[];
}

/**
 * Options of an input of which a frame or two are wanted: with several inputs ffmpeg reads eight packets of
 * each ahead, which of large frames costs more than decoding the one.
 */
export const READ_NO_FURTHER: readonly string[] = ['-thread_queue_size', '1'];

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
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  /** Milliseconds for a terminated ffmpeg to close its outputs; default 5,000. */
  readonly graceMs?: number | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Terminate after this many milliseconds without a log line or progress. */
  readonly stallTimeoutMs?: number | undefined;
  /** Terminate after this many milliseconds. */
  readonly timeoutMs?: number | undefined;
  /**
   * Every line of the log, with its level: ffmpeg runs with `-loglevel repeat+level+info`. Errors arrive
   * independently of the other lines, in their own order.
   */
  readonly onLine?: ((line: string) => void) | undefined;
  readonly onProgress?: ((progress: FfmpegProgress) => void) | undefined;
}

/** How a call ended. A non-zero exit code is a result; the caller decides what it means. */
export interface FfmpegResult {
  readonly exitCode: number | null;
  readonly killedBy: 'abort' | 'timeout' | 'stall' | null;
  /** The signal that ended it or asked it to end, from any sender. */
  readonly endedBy: string | null;
  /** Lines at level error or fatal, in order, at most 1,000. */
  readonly errors: readonly string[];
  readonly errorCount: number;
  readonly seconds: number;
  /** The command quoted for a shell, for logs and people; never executed. */
  readonly commandLine: string;
}
