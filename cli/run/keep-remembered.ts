import type { Redis } from 'ioredis';
import { readBatchEntry } from '../../jobs/queue/batch-entries.js';
import { describeServer, type RedisServer } from '../../jobs/queue/connection.js';
import { serverMemory } from '../../jobs/queue/server-memory.js';
import { readSubmission } from '../../workers/batch/assemble.js';
import type { Log } from '../../workers/clip-context.js';
import { rememberedBatches } from './remembered-batches.js';
import { restoreBatch, unfinishedIn } from './restore-batch.js';

const LOOK_EVERY_MS = 5_000;
/** Folders that were not there are looked for again: volumes come and go. */
const LOOK_FOR_MS = 60_000;

export interface KeepRememberedOptions {
  readonly stateFolder: string;
  readonly server: RedisServer;
  readonly redis: Redis;
  readonly log: Pick<Log, 'info' | 'warn'>;
}

export interface KeptRemembered {
  /** Puts back what the server lost, if it may have lost anything since the last time. */
  look(): Promise<void>;
  close(): void;
}

/**
 * Puts batches that were queued by way of this state folder on this server back on it whenever it may have
 * lost them, also those that no worker met. The folders are read only then: else it costs two small commands.
 */
export function keepRemembered(options: KeepRememberedOptions): KeptRemembered {
  let memory: string | null = null;
  let missing: { readonly since: number } | null = null;
  let looking: Promise<void> | null = null;
  const look = (): Promise<void> => {
    looking ??= (async () => {
      const now = await serverMemory(options.redis);
      const isDue = missing !== null && performance.now() - missing.since > LOOK_FOR_MS;
      if (now === memory && !isDue) return;
      missing = (await restoreRemembered(options)) ? null : { since: performance.now() };
      memory = now;
    })().finally(() => {
      looking = null;
    });
    return looking;
  };
  const again = setInterval(() => void look().catch(() => undefined), LOOK_EVERY_MS);
  return { look, close: () => clearInterval(again) };
}

/** Whether every folder was there. */
async function restoreRemembered(options: KeepRememberedOptions): Promise<boolean> {
  const { stateFolder, server, redis, log } = options;
  let isAllThere = true;
  for (const { out, server: where } of await rememberedBatches(stateFolder)) {
    if (where !== describeServer(server)) continue;
    const marked = await readSubmission(out);
    if (marked === null) isAllThere = false;
    if (!marked?.shared || (await readBatchEntry(marked.batch, redis)) !== null) continue;
    const submission = await unfinishedIn(out);
    if (submission === null) continue;
    try {
      const restored = await restoreBatch(out, submission, redis);
      if (restored !== null) log.info({ batch: restored.id, out }, 'batch put back on the queue');
    } catch (error) {
      // One that cannot be put back holds up no other.
      log.warn({ err: error, out }, 'a batch that the server lost could not be put back');
    }
  }
  return isAllThere;
}
