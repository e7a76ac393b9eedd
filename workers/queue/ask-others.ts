import { randomBytes } from 'node:crypto';
import { rm } from 'node:fs/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import { Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import { partAnswer, partJobData, partProgress } from '../../jobs/queue/messages.js';
import { askerKey, KEY_PREFIX } from '../../jobs/queue/names.js';
import { below, partFile, partsFolder } from '../batch/folder.js';
import type { PartsRunner, PartsWork } from '../measure/parts/measure-here.js';
import type { MeasuredPart } from '../measure/parts/part-doubt.js';
import { readPart } from '../measure/parts/part-file.js';
import { PartsDoubt } from '../measure/parts/run-part.js';
import type { Places } from './places.js';

const LOOK_EVERY_MS = 500;
/** Whoever does not say for so long that he waits is taken to be gone. */
const ASKER_SECONDS = 60;
const SAY_EVERY_MS = 15_000;
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
 * Has the parts of a file measured by whoever takes them from the queue, this worker among them. What they measured comes through the
 * batch folder. Nothing is left on the queue or in the folder, however it ends.
 */
export function askOthers(options: AskOptions): PartsRunner {
  return (work) => options.places.asker(() => ask(work, options));
}

async function ask(work: PartsWork, { redis, queue: name, out }: AskOptions): Promise<MeasuredPart[]> {
  const asker = randomBytes(16).toString('hex');
  const key = askerKey(asker);
  const queue = new Queue(name, { connection: redis, prefix: KEY_PREFIX });
  const ids = work.division.ranges.map((_, part) => `${asker}-${part}`);
  const stillHere = (): Promise<unknown> => redis.set(key, '1', 'EX', ASKER_SECONDS);
  const saying = setInterval(() => void stillHere().catch(() => undefined), SAY_EVERY_MS);
  try {
    await stopping(work.signal, stillHere());
    await stopping(work.signal, queue.addBulk(jobsOf(work, asker, out, ids)));
    await answers(queue, ids, work);
    const parts: MeasuredPart[] = [];
    for (const [part, range] of work.division.ranges.entries()) {
      parts.push(await readAnswer(below(out, partFile(asker, part)), range));
    }
    return parts;
  } finally {
    clearInterval(saying);
    await rm(below(out, partsFolder(asker)), { recursive: true, force: true }).catch(() => undefined);
    // With Redis away this waits for it to come back: nobody else has to.
    void cleared(redis, queue, key, ids);
  }
}

function jobsOf(
  { path, facts, colour, division, numbering }: PartsWork,
  asker: string,
  out: string,
  ids: readonly string[],
) {
  const { video, ranges } = division;
  return ranges.map((range, part) => ({
    name: 'part',
    data: partJobData.parse({
      ...{ asker, out, part, path, bytes: facts.bytes, modified: facts.modified },
      ...{ video, colour, range, numbering, isLast: part === ranges.length - 1 },
    }),
    opts: {
      jobId: ids[part] ?? '',
      removeOnComplete: { age: KEEP_SECONDS },
      removeOnFail: { age: KEEP_SECONDS },
    },
  }));
}

/** Waits until every part is measured. Throws PartsDoubt at the first that is not. */
async function answers(queue: Queue, ids: readonly string[], work: PartsWork): Promise<void> {
  const open = new Set(ids.keys());
  while (open.size > 0) {
    await stopping(work.signal, sleep(LOOK_EVERY_MS));
    for (const part of open) {
      const job = await stopping(work.signal, queue.getJob(ids[part] ?? ''));
      if (job === undefined) throw new PartsDoubt('a part was taken off the queue');
      const progress = partProgress.safeParse(job.progress);
      if (progress.success) work.onFrames(part, progress.data.frames);
      if (job.finishedOn === undefined) continue;
      const answer = partAnswer.safeParse(job.returnvalue);
      if (!answer.success)
        throw new PartsDoubt(`a part failed: ${job.failedReason ?? 'no reason was given'}`);
      if (answer.data.state === 'doubt') throw new PartsDoubt(answer.data.why);
      if (answer.data.state === 'unwanted') throw new PartsDoubt('a part was given up');
      const { from, to, lead } = work.division.ranges[part] ?? { from: 0, to: 0, lead: 0 };
      work.onFrames(part, to - from + lead);
      open.delete(part);
    }
  }
}

async function readAnswer(path: string, asked: MeasuredPart['range']): Promise<MeasuredPart> {
  try {
    const part = await readPart(path);
    const { from, to, lead } = part.range;
    if (from === asked.from && to === asked.to && lead === asked.lead) return part;
  } catch {
    // Told below: not there, cut short, or not a part at all.
  }
  throw new PartsDoubt('what was measured of a part cannot be read');
}

/** Ends at once when the signal fires, with whatever is still waited for: Redis may be away. */
async function stopping<T>(signal: AbortSignal, work: Promise<T>): Promise<T> {
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
    work.catch(() => undefined);
  }
}

/** Parts that are being measured cannot be taken off: they find that they are not wanted any more. */
async function cleared(redis: Redis, queue: Queue, key: string, ids: readonly string[]): Promise<void> {
  try {
    await redis.del(key);
    for (const id of ids) await queue.remove(id).catch(() => 0);
  } catch {
    // The key runs out by itself.
  } finally {
    await queue.close().catch(() => undefined);
  }
}
