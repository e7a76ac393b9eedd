import { FlowProducer, Queue, QueueEvents } from 'bullmq';
import type { Redis } from 'ioredis';
import { KEY_PREFIX } from './names.js';

/**
 * BullMQ prints every failed attempt to reach a server that is gone, stack and all, unless somebody listens;
 * connections come back by themselves (`connect`), and whoever waits says so in a sentence.
 */
function quiet<T extends { on(event: 'error', listener: () => void): unknown }>(emitter: T): T {
  emitter.on('error', () => undefined);
  return emitter;
}

/** A queue by its name, on a connection that stays open when the queue is closed. */
export function openQueueNamed(name: string, redis: Redis): Queue {
  return quiet(new Queue(name, { connection: redis, prefix: KEY_PREFIX }));
}

/** What happens on a queue. It waits on a connection of its own: give it one that nobody else uses. */
export function listenToQueue(name: string, redis: Redis): QueueEvents {
  return quiet(new QueueEvents(name, { connection: redis, prefix: KEY_PREFIX }));
}

/** Puts jobs that hang together on their queues at once. */
export function openFlows(redis: Redis): FlowProducer {
  return quiet(new FlowProducer({ connection: redis, prefix: KEY_PREFIX }));
}
