import { basename, dirname, join, relative, resolve, sep } from 'node:path';
import type { Submission } from '../../jobs/plan/submission.js';
import { readBatchEntry } from '../../jobs/queue/batch-entries.js';
import { lockFolder } from '../lock-folder.js';
import { type Prepared, type PrepareOptions, preparePlan } from '../prepare-plan.js';
import { withExperience } from '../prepare-shown.js';
import { restoreBatch, unfinishedIn } from '../run/restore-batch.js';
import { type SubmitOptions, submitBatch } from '../run/submit-batch.js';
import { type HeldCard, heldCards, ofWholeCards } from './held-cards.js';
import { SteadyFiles } from './steady-files.js';
import { filesNow, isNews, submittedFiles, writeSubmitted } from './watched-files.js';

/** So long one folder may keep the others waiting: the next look tries again. */
const PATIENCE_MS = 12_000;

export interface WatchOptions
  extends Pick<PrepareOptions, 'targets' | 'batches' | 'targetFolder'>,
    Pick<SubmitOptions, 'environment' | 'queue'> {
  readonly folder: string;
  /** So long a file has to keep its size and time. */
  readonly steadySeconds: number;
  readonly priority: Submission['priority'];
  /** Take only what a hash list covers. */
  readonly listed: boolean;
  /** Folder from which files of targets start. */
  readonly base: string;
  readonly signal: AbortSignal;
}

/** One folder that is watched, into one batch that grows. */
export interface WatchedFolder {
  readonly folder: string;
  readonly out: string;
  /**
   * Looks once.
   *
   * @throws GoodgateError of any family; the next look tries again
   */
  look(): Promise<Look>;
}

export interface Look {
  /** What was submitted, if there was something. */
  readonly prepared: Prepared | null;
  /** Cards whose hash list names files that have not arrived. */
  readonly held: readonly HeldCard[];
}

export function watchFolder(options: WatchOptions): WatchedFolder {
  const folder = resolve(options.folder);
  const out = resolve(join(options.batches ?? dirname(folder), `${basename(folder)}-goodgate`));
  const files = new SteadyFiles(options.steadySeconds);
  return {
    folder,
    out,
    async look() {
      const now = await filesNow(folder, options.signal);
      const arrived = files.look(now);
      const submitted = await submittedFiles(out);
      // Reading lists costs more than looking: only where there is something to submit.
      const isAny = isNews(arrived, now, submitted) === true;
      const held = isAny ? await heldCards(folder, now, arrived) : [];
      const steady = isAny ? await ofWholeCards(arrived, held, submitted, options.listed) : arrived;
      if (isNews(steady, now, submitted) !== true) {
        await putBack(out, options);
        return { prepared: null, held };
      }
      const lock = await lockFolder(out, options.signal, PATIENCE_MS);
      try {
        // Another watcher of the same folder may have been quicker.
        if (isNews(steady, now, await submittedFiles(out)) !== true) return { prepared: null, held };
        const { batches, targetFolder, environment, signal } = options;
        // A target that is a file stands where the list says, not where watch was started.
        const targets = options.targets.map((name) =>
          /[/.]/.test(name) ? resolve(options.base, name) : name,
        );
        const names = new Set(steady.map(({ path }) => relative(folder, path).split(sep).join('/')));
        const planned = await preparePlan({
          ...{ input: folder, targets, out, batches, targetFolder, environment, signal },
          ...{ workers: undefined, only: (file: string) => names.has(file) },
        });
        const { server } = options.queue;
        const url = server.kind === 'named' ? server.url : undefined;
        const prepared = await withExperience(planned, environment, url);
        const written = () => writeSubmitted(out, steady);
        if (prepared.plan.jobs.length === 0) {
          // Nothing that could be queued: told once, and looked at again when a file comes or changes.
          await written();
          return { prepared, held };
        }
        const { queue, priority } = options;
        await submitBatch(prepared, { environment, queue, priority, replace: false, beforeQueued: written });
        return { prepared, held };
      } finally {
        await lock.release();
      }
    },
  };
}

/** A kill between folder and queue, or a server that lost it: the folder is the truth. */
async function putBack(out: string, { queue: { redis } }: WatchOptions): Promise<void> {
  const submission = await unfinishedIn(out);
  if (submission === null || !submission.shared) return;
  const entry = await readBatchEntry(submission.batch, redis);
  if (entry?.run !== submission.run) await restoreBatch(out, submission, redis);
}
