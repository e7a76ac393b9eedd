import { setTimeout as sleep } from 'node:timers/promises';
import type { Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import type { PlannedJob } from '../../jobs/plan/plan.js';
import { markCancelled } from '../../jobs/queue/cancelled-jobs.js';
import { batchQueues, queueIdOf } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { cancelledError, writeFailureResult } from '../../workers/batch/failed-result.js';
import { requireOpen, type SteeredBatch, thisPerson } from './steered-batch.js';

/** A worker looks every second, and gives ffmpeg five to end. */
const STOPPED_WITHIN_MS = 15_000;
const LOOK_EVERY_MS = 200;

/** Names of clips, by what became of them. */
export interface Cancelled {
  /** Nobody works on them any more, or did. */
  readonly cancelled: readonly string[];
  /** A worker has them in hand and has not told yet that it stopped: its machine may be gone. */
  readonly stopping: readonly string[];
}

/**
 * Takes clips off the queue and has those in hand stopped. Each leaves a result in the folder that says who
 * cancelled it, so that nothing brings it back but `retry` or another `submit`.
 *
 * @throws GoodgateError `nothing-to-do` (all of them are over), `cannot-write`, `disk-full`
 */
export async function cancelClips(
  steered: SteeredBatch,
  clips: readonly PlannedJob[],
  redis: Redis,
  signal: AbortSignal,
): Promise<Cancelled> {
  const entry = requireOpen(steered);
  const names = batchQueues(entry.id);
  const queue = openQueueNamed(names.clips, redis);
  try {
    const open: { readonly job: PlannedJob; readonly queueId: string }[] = [];
    for (const job of clips) {
      const queueId = queueIdOf(entry, job.id);
      if (!isOver(await stateOf(queue, queueId))) open.push({ job, queueId });
    }
    if (open.length === 0) {
      throw new GoodgateError('nothing-to-do', {
        what: clips.length === 1 ? `${clips[0]?.clip.name ?? ''} is over` : 'all clips of it are over',
        where: steered.plan.out,
        next: 'goodgate status with the batch tells how each ended',
      });
    }
    const by = thisPerson();
    // From here on whoever takes one of them leaves it, and who has one in hand stops.
    await markCancelled(
      names.clips,
      open.map(({ queueId }) => queueId),
      by,
      redis,
    );
    const inHand = [];
    for (const each of open) {
      const state = await stateOf(queue, each.queueId);
      if (isOver(state)) continue;
      if (state === 'active') inHand.push(each);
      else await takeOff(steered.plan.out, each, by, queue);
    }
    const stopping = await stillActive(queue, inHand, signal);
    const nameOf = ({ job }: { job: PlannedJob }): string => job.clip.name;
    return {
      cancelled: open.filter((each) => !stopping.includes(each)).map(nameOf),
      stopping: stopping.map(nameOf),
    };
  } finally {
    await queue.close();
  }
}

async function stateOf(queue: Queue, id: string): Promise<string> {
  return (await (await queue.getJob(id))?.getState()) ?? 'gone';
}

function isOver(state: string): boolean {
  return state === 'completed' || state === 'failed' || state === 'gone';
}

/** The result first: what a server then loses is not put back. */
async function takeOff(
  out: string,
  { job, queueId }: { readonly job: PlannedJob; readonly queueId: string },
  by: string,
  queue: Queue,
): Promise<void> {
  await writeFailureResult(out, job, cancelledError(by));
  // One that a worker took just now stays: the worker finds it cancelled.
  await queue.remove(queueId).catch(() => 0);
}

async function stillActive<Each extends { readonly queueId: string }>(
  queue: Queue,
  inHand: readonly Each[],
  signal: AbortSignal,
): Promise<Each[]> {
  const end = performance.now() + STOPPED_WITHIN_MS;
  for (;;) {
    const active: Each[] = [];
    for (const each of inHand) if (!isOver(await stateOf(queue, each.queueId))) active.push(each);
    if (active.length === 0 || performance.now() > end || signal.aborted) return active;
    await sleep(LOOK_EVERY_MS, undefined, { signal }).catch(() => undefined);
  }
}
