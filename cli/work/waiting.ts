import { once } from 'node:events';
import { setTimeout as sleep } from 'node:timers/promises';

/** Waits for an answer of the queue, but no longer than until the worker is stopped: undefined then. */
export async function unlessStopped<T>(answer: Promise<T>, signal: AbortSignal): Promise<T | undefined> {
  const stopped = new AbortController();
  const stop = once(signal, 'abort', { signal: stopped.signal }).then(
    () => undefined,
    () => undefined,
  );
  try {
    return signal.aborted ? undefined : await Promise.race([answer, stop]);
  } finally {
    stopped.abort();
  }
}

export async function endsWithin(ms: number, work: Promise<void>): Promise<boolean> {
  const timer = new AbortController();
  const late = sleep(ms, false, { signal: timer.signal }).catch(() => false);
  try {
    return await Promise.race([work.then(() => true), late]);
  } finally {
    timer.abort();
  }
}

/** Wakes early when the signal aborts; leaves no listener behind. */
export async function pause(ms: number, signal: AbortSignal): Promise<void> {
  await sleep(ms, undefined, { signal }).catch(() => undefined);
}
