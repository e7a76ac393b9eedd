import type { Redis } from 'ioredis';
import { readEnvironment } from '../../environment.js';
import { interruptSignal } from '../../interrupt.js';
import { openQueue } from '../../open-queue.js';
import { type SteeredBatch, steeredBatch } from '../../run/steered-batch.js';

export interface SteerOptions {
  readonly redis?: string;
  readonly json?: boolean;
}

/** What all commands have in common that steer a batch: the queue is opened, the batch found. */
export async function steering(
  wanted: string,
  options: SteerOptions,
  steer: (batch: SteeredBatch, redis: Redis, signal: AbortSignal) => Promise<void>,
): Promise<void> {
  const environment = readEnvironment();
  const interrupt = interruptSignal();
  try {
    const queue = await openQueue(environment, options.redis);
    try {
      const batch = await steeredBatch(wanted, environment.stateFolder, queue.redis);
      await steer(batch, queue.redis, interrupt.signal);
    } finally {
      await queue.close();
    }
  } finally {
    interrupt.dispose();
  }
}

export const BATCH_ARGUMENT = ['<batch>', "a batch's id, the beginning of it, or its folder"] as const;
export const CLIP_ARGUMENT = ['[clip]', 'a clip as status tells it, or the end of its name'] as const;
