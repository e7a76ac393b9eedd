import type { ClipJobData, ClipProgress } from '../../jobs/queue/messages.js';
import type { ClipDone } from '../handle-clip.js';

/** Is told what becomes of the clips a worker takes, as it happens. Neither method may throw. */
export interface Onlooker {
  /** A clip entered a stage; null: it is out of this worker's hands. */
  stage(job: string, stage: ClipProgress['stage'] | null): void;
  /** A clip is done, its result written. */
  done(data: ClipJobData, done: ClipDone): void;
}
