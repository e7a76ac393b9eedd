import { parentPort, workerData } from 'node:worker_threads';
import type { ThreadAnswer } from '../answer-of-thread.js';
import { type ComparedFrames, compareFrames, type FramesToCompare } from './compare-frames.js';

function isWork(data: unknown): data is FramesToCompare {
  return typeof data === 'object' && data !== null && 'original' in data && 'copy' in data;
}

function answer(work: FramesToCompare): ThreadAnswer<ComparedFrames> {
  try {
    return { kind: 'done', answer: compareFrames(work) };
  } catch (error) {
    return { kind: 'failed', why: error instanceof Error ? error.message : String(error) };
  }
}

if (isWork(workerData)) parentPort?.postMessage(answer(workerData));
