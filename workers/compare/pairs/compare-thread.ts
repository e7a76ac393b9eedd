import { parentPort, workerData } from 'node:worker_threads';
import { type ComparedFrames, compareFrames, type FramesToCompare } from './compare-frames.js';

export type CompareMessage =
  | { readonly kind: 'compared'; readonly compared: ComparedFrames }
  | { readonly kind: 'failed'; readonly why: string };

function isWork(data: unknown): data is FramesToCompare {
  return typeof data === 'object' && data !== null && 'original' in data && 'copy' in data;
}

function answer(work: FramesToCompare): CompareMessage {
  try {
    return { kind: 'compared', compared: compareFrames(work) };
  } catch (error) {
    return { kind: 'failed', why: error instanceof Error ? error.message : String(error) };
  }
}

if (isWork(workerData)) parentPort?.postMessage(answer(workerData));
