import { randomBytes } from 'node:crypto';
import { mkdir, rm } from 'node:fs/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import {
  type PartJobData,
  partAnswer,
  partDigest,
  partJobData,
  partProgress,
} from '../../jobs/queue/messages.js';
import { requesterKey } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { below, partFile, partsFolder } from '../batch/folder.js';
import type { PartsRunner, PartsWork } from '../measure/parts/measure-here.js';
import { type MeasuredPart, partDoubt } from '../measure/parts/part-doubt.js';
import { readPart } from '../measure/parts/part-file.js';
import { PartsDoubt } from '../measure/parts/run-part.js';
import type { Places } from './places.js';

const LOOK_EVERY_MS = 500;
/** A requester without a heartbeat for so long is taken to be gone. */
const REQUESTER_SECONDS = 60;
const HEARTBEAT_MS = 15_000;
/** Longer than ffmpeg is waited for. */
const STUCK_MS = 5 * 60_000;
/** Others' parts may come first. */
const UNTAKEN_MS = 60 * 60_000;
/** Jobs that are over are kept so long, should nobody take them off. */
const KEEP_SECONDS = 3600;

export interface AskOptions {
  readonly redis: Redis;
  /** Name of the queue of parts. */
  readonly queue: string;
  /** The places of this worker, which measures parts too. */
  readonly places: Places;
  /** The batch folder. */
  readonly out: string;
}

/**
 * Has the parts of a file measured by whoever takes them from the queue, this worker among them. What they
 * measured comes through the batch folder. Nothing is left on the queue or in the folder, however it ends.
 */
export function askOthers(options: AskOptions): PartsRunner {
  return (work) => options.places.waiting(() => ask(work, options));
}

async function ask(work: PartsWork, { redis, queue: name, out }: AskOptions): Promise<MeasuredPart[]> {
  const requester = randomBytes(16).toString('hex');
  const key = requesterKey(requester);
  const folder = below(out, partsFolder(requester));
  const queue = openQueueNamed(name, redis);
  const asked = partJobs(work, requester, out);
  const heartbeat = (): Promise<unknown> => redis.set(key, '1', 'EX', REQUESTER_SECONDS);
  const beating = setInterval(() => void heartbeat().catch(() => undefined), HEARTBEAT_MS);
  try {
    await mkdir(folder, { recursive: true });
    await stopping(work.signal, heartbeat());
    await stopping(work.signal, queue.addBulk(asked.map(jobOf)));
    return await collectParts(queue, asked, work);
  } catch (error) {
    // Whatever fails here, Redis or the disk: the file can still be measured in one go.
    throw error instanceof PartsDoubt ? error : new PartsDoubt(`other workers: ${messageOf(error)}`);
  } finally {
    clearInterval(beating);
    // With Redis away this waits for it to come back: nobody else has to.
    void clearQueue(redis, queue, key, asked.map(idOf));
    await rm(folder, { recursive: true, force: true }).catch(() => undefined);
  }
}

function partJobs(
  { path, facts, colour, division, numbering }: PartsWork,
  requester: string,
  out: string,
): PartJobData[] {
  const { video, ranges } = division;
  return ranges.map((range, part) =>
    partJobData.parse({
      ...{ requester, out, part, path, bytes: facts.bytes, modified: facts.modified },
      ...{ video, colour, range, numbering, isLast: part === ranges.length - 1 },
    }),
  );
}

function idOf({ requester, part }: PartJobData): string {
  return `${requester}-${part}`;
}

function jobOf(data: PartJobData) {
  const kept = { removeOnComplete: { age: KEEP_SECONDS }, removeOnFail: { age: KEEP_SECONDS } };
  return { name: 'part', data, opts: { jobId: idOf(data), ...kept } };
}

/**
 * Waits until every part is measured, and reads each as it comes. Throws PartsDoubt at the first that is not.
 */
async function collectParts(
  queue: Queue,
  asked: readonly PartJobData[],
  work: PartsWork,
): Promise<MeasuredPart[]> {
  const parts = new Map<number, MeasuredPart>();
  const stalls = new StallDetector();
  while (parts.size < asked.length) {
    await stopping(work.signal, sleep(LOOK_EVERY_MS));
    for (const data of asked) {
      const { part } = data;
      if (parts.has(part)) continue;
      const job = await stopping(work.signal, queue.getJob(idOf(data)));
      if (job === undefined) throw new PartsDoubt('a part was taken off the queue');
      const progress = partProgress.safeParse(job.progress);
      const frames = progress.success ? progress.data.frames : 0;
      stalls.check(part, job.processedOn === undefined ? null : frames);
      work.onFrames(part, frames);
      if (job.finishedOn === undefined) continue;
      const answer = partAnswer.safeParse(job.returnvalue);
      if (!answer.success)
        throw new PartsDoubt(`a part failed: ${job.failedReason ?? 'no reason was given'}`);
      if (answer.data.state === 'doubt') throw new PartsDoubt(answer.data.why);
      if (answer.data.state === 'unwanted') throw new PartsDoubt('a part was given up');
      parts.set(part, await readAnswer(data));
      const { from, to, lead } = data.range;
      work.onFrames(part, to - from + lead);
    }
  }
  return asked.flatMap(({ part }) => parts.get(part) ?? []);
}

/** Detects a hung worker that still holds its part. */
class StallDetector {
  readonly #seen = new Map<number, { readonly frames: number | null; readonly at: number }>();

  /**
   * @param frames of the part that have come; null while nobody has taken it
   *
   * Throws PartsDoubt where it has stood still for too long.
   */
  check(part: number, frames: number | null): void {
    const now = performance.now();
    const before = this.#seen.get(part);
    if (before === undefined || before.frames !== frames) this.#seen.set(part, { frames, at: now });
    else if (now - before.at > (frames === null ? UNTAKEN_MS : STUCK_MS)) {
      throw new PartsDoubt(frames === null ? 'nobody takes a part' : 'a part stands still at another worker');
    }
  }
}

/** Other workers are not trusted with what was asked, nor with whether it is beyond doubt. */
async function readAnswer(data: PartJobData): Promise<MeasuredPart> {
  let part: MeasuredPart;
  try {
    part = await readPart(below(data.out, partFile(data.requester, data.part)), partDigest(data));
  } catch {
    throw new PartsDoubt('what was measured of a part cannot be read');
  }
  const { from, to, lead } = part.range;
  const { range, isLast, numbering } = data;
  if (from !== range.from || to !== range.to || lead !== range.lead || part.isLast !== isLast) {
    throw new PartsDoubt('another part was measured than was asked for');
  }
  const doubt = partDoubt(part, numbering);
  if (doubt !== null) throw new PartsDoubt(doubt);
  return part;
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

/** Ends at once when the signal fires, with whatever is still waited for: Redis may be away. */
async function stopping<T>(signal: AbortSignal, work: Promise<T>): Promise<T> {
  work.catch(() => undefined);
  if (signal.aborted) throw new PartsDoubt('stopped');
  let stop = (): void => undefined;
  const stopped = new Promise<never>((_, reject) => {
    stop = () => reject(new PartsDoubt('stopped'));
    signal.addEventListener('abort', stop, { once: true });
  });
  try {
    return await Promise.race([work, stopped]);
  } finally {
    signal.removeEventListener('abort', stop);
  }
}

/** Parts that are being measured cannot be taken off: they find that they are not wanted any more. */
async function clearQueue(redis: Redis, queue: Queue, key: string, ids: readonly string[]): Promise<void> {
  try {
    await redis.del(key);
    for (const id of ids) await queue.remove(id).catch(() => 0);
  } catch {
    // The key expires.
  } finally {
    await queue.close().catch(() => undefined);
  }
}
