import { GoodgateError } from '../../jobs/errors.js';
import { startThread } from '../start-thread.js';

/** What a thread of a comparison sends, once. */
export type ThreadAnswer<T> =
  | { readonly kind: 'done'; readonly answer: T }
  | { readonly kind: 'failed'; readonly why: string };

/**
 * Has a comparison done in a thread: samples never hold up the event loop, which renews the locks of the
 * queue.
 *
 * @param beside, name as of `startThread`
 * @throws GoodgateError `measure-failed` when the thread fails, `interrupted` when the signal fires.
 */
export async function answerOfThread<T>(
  beside: string,
  name: string,
  work: object,
  { where, signal }: { readonly where: string; readonly signal?: AbortSignal | undefined },
): Promise<T> {
  const worker = startThread(beside, name, work);
  const failed = (what: string): GoodgateError =>
    new GoodgateError('measure-failed', {
      what: `the comparison failed: ${what}`,
      where,
      next: 'do it again; should it fail again, report it with --debug',
    });
  let stop = (): void => {};
  try {
    return await new Promise<T>((resolve, reject) => {
      stop = () => reject(new GoodgateError('interrupted', { what: 'the work was interrupted', where }));
      if (signal?.aborted) return stop();
      signal?.addEventListener('abort', stop);
      worker.on('message', (message: ThreadAnswer<T>) => {
        if (message.kind === 'done') resolve(message.answer);
        else reject(failed(message.why));
      });
      worker.on('error', (error) => reject(failed(String(error))));
      worker.on('exit', (code) => reject(failed(`its thread ended with ${code}`)));
    });
  } finally {
    signal?.removeEventListener('abort', stop);
    await worker.terminate();
  }
}
