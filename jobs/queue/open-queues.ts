import { FlowProducer, Queue, QueueEvents } from 'bullmq';
import type { Redis } from 'ioredis';
import { KEY_PREFIX } from './names.js';

/**
 * Without a listener BullMQ prints a stack trace for every failed attempt to reach a lost server. Connections
 * recover by themselves (`connect`), and the waiting command reports the loss in one sentence.
 */
function quiet<T extends { on(event: 'error', listener: () => void): unknown }>(emitter: T): T {
  emitter.on('error', () => undefined);
  return emitter;
}

/** A queue by its name, on a connection that stays open when the queue is closed. */
export function openQueueNamed(name: string, redis: Redis): Queue {
  return quiet(new Queue(name, { connection: redis, prefix: KEY_PREFIX }));
}

/** Events of a queue. It blocks its connection: pass one that nothing else uses. */
export function listenToQueue(name: string, redis: Redis): QueueEvents {
  return quiet(new QueueEvents(name, { connection: redis, prefix: KEY_PREFIX }));
}

/** Adds jobs that depend on each other to their queues at once. */
export function openFlows(redis: Redis): FlowProducer {
  return quiet(new FlowProducer({ connection: redis, prefix: KEY_PREFIX }));
}
