import { parentPort, workerData } from 'node:worker_threads';
import type { ThreadAnswer } from '../answer-of-thread.js';
import { compareDecoded, type HeardSound, type SoundsToCompare } from './compare-decoded.js';

function isWork(data: unknown): data is SoundsToCompare {
  return typeof data === 'object' && data !== null && 'before' in data && 'after' in data;
}

async function answer(work: SoundsToCompare): Promise<ThreadAnswer<HeardSound>> {
  try {
    return { kind: 'done', answer: await compareDecoded(work) };
  } catch (error) {
    return { kind: 'failed', why: error instanceof Error ? error.message : String(error) };
  }
}

if (isWork(workerData)) parentPort?.postMessage(await answer(workerData));
