import { GoodgateError } from '../../../jobs/errors.js';
import { startThread } from '../../start-thread.js';
import type { ComparedFrames, FramesToCompare } from './compare-frames.js';
import type { CompareMessage } from './compare-thread.js';

/**
 * As `compareFrames`, in a thread: samples never hold up the event loop, which renews the locks of the queue.
 *
 * @throws GoodgateError `measure-failed` when the thread fails, `interrupted` when the signal fires.
 */
export async function compareInThread(
  work: FramesToCompare,
  { where, signal }: { readonly where: string; readonly signal?: AbortSignal | undefined },
): Promise<ComparedFrames> {
  const worker = startThread(import.meta.url, './compare-thread', work);
  const failed = (what: string): GoodgateError =>
    new GoodgateError('measure-failed', {
      what: `the comparison failed: ${what}`,
      where,
      next: 'do it again; should it fail again, report it with --debug',
    });
  let stop = (): void => {};
  try {
    return await new Promise<ComparedFrames>((resolve, reject) => {
      stop = () => reject(new GoodgateError('interrupted', { what: 'the work was interrupted', where }));
      if (signal?.aborted) return stop();
      signal?.addEventListener('abort', stop);
      worker.on('message', (message: CompareMessage) => {
        if (message.kind === 'compared') resolve(message.compared);
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
