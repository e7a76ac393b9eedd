import type { Capabilities } from '../jobs/plan/capabilities.js';
import type { ClipProgress } from '../jobs/queue/messages.js';
import type { Tools } from './ffmpeg/tools.js';
import type { Parallelism } from './measure/parts/measure-divided.js';
import type { ProbedOutputs } from './probed-outputs.js';

/** The part of a logger that work needs (pino's shape). */
export interface Log {
  debug(fields: object, message: string): void;
  info(fields: object, message: string): void;
  warn(fields: object, message: string): void;
  error(fields: object, message: string): void;
}

/** What this machine brings to every job. */
export interface Site {
  readonly capabilities: Capabilities;
  readonly version: string;
  /** Folders this worker may read from and write to. */
  readonly roots: readonly string[];
  readonly tools: Tools;
  /** What outputs measured by this process declare, for their stills; absent: they are probed again. */
  readonly probed?: ProbedOutputs;
}

/** All a handler sees of the queue: it is tested without Redis. */
export interface ClipContext {
  readonly log: Log;
  readonly signal: AbortSignal;
  progress(progress: ClipProgress): void;
  /**
   * Who may measure parts of a file for this job now: more than itself where this worker has fewer jobs than
   * it could do, or others are idle. Absent: nobody.
   */
  parallelism?(): Promise<Parallelism>;
  /**
   * Threads that each decoder and encoder of this job may have now: its share of the cores. Absent: ffmpeg
   * takes as many as it likes.
   */
  threads?(): number;
  /** Share of a file that was hashed for its waivers, 0..1. */
  hashing?(fraction: number): void;
  /** Share of the clip that its decoder has read, 0..1. */
  reading?(fraction: number): void;
}
