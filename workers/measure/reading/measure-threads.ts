import type { Worker } from 'node:worker_threads';
import type { NamedPipe } from '../../ffmpeg/named-pipes.js';
import { startThread } from '../../start-thread.js';
import { kernelModule } from '../picture/kernel/kernel-module.js';
import type { PictureMessage, PictureWork } from './picture-thread.js';
import type { SoundMessage, SoundOutcome, SoundWork } from './sound-thread.js';

export interface Died {
  readonly kind: 'died';
  readonly why: string;
}

/** The answer of a thread, or why there is none. Never rejects. */
export interface Thread<T> {
  readonly answer: Promise<T | Died>;
  /**
   * The thread has opened its pipes, or has died. Our own ends must stay open until then: otherwise what
   * ffmpeg wrote would be lost, and the thread would wait in open() forever.
   */
  readonly ready: Promise<void>;
  stop(): Promise<void>;
}

/** A thread that still waits in a read ends when ffmpeg does; this is the longest time to wait for it. */
const STOP_MS = 5_000;

async function stopThread(worker: Worker): Promise<void> {
  worker.unref();
  let timer: NodeJS.Timeout | undefined;
  const patience = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, STOP_MS);
  });
  await Promise.race([worker.terminate(), patience]);
  clearTimeout(timer);
}

function readiness(worker: Worker): Promise<void> {
  return new Promise((resolve) => {
    worker.on('message', ({ kind }: PictureMessage | SoundMessage) => {
      if (kind === 'open') resolve();
    });
    worker.once('error', () => resolve());
    worker.once('exit', () => resolve());
  });
}

type PictureOutcome = Exclude<PictureMessage, { kind: 'progress' } | { kind: 'open' }>;
/** Result of measuring the picture of a file, or of a part of it. */
export type PictureAnswer = PictureOutcome | Died;

/**
 * Starts measuring pictures from a pipe. If the thread dies the pipe is drained, so that ffmpeg goes on. All
 * threads share the kernel that was compiled first.
 */
export function startPictureThread(
  work: Omit<PictureWork, 'kernel'>,
  pipe: NamedPipe,
  onFrames: (frames: number) => void,
): Thread<PictureOutcome> {
  const worker = startThread(import.meta.url, './picture-thread', {
    ...work,
    kernel: kernelModule(),
  } satisfies PictureWork);
  const ready = readiness(worker);
  const answer = new Promise<PictureAnswer>((resolve) => {
    const died = (why: string): void => {
      pipe.drain();
      resolve({ kind: 'died', why });
    };
    worker.on('message', (message: PictureMessage) => {
      if (message.kind === 'progress') onFrames(message.frames);
      else if (message.kind !== 'open') resolve(message);
    });
    worker.on('error', (error) => died(error instanceof Error ? error.message : String(error)));
    worker.on('exit', (code) => died(`the measuring thread ended with code ${code} before its time`));
  });
  return { answer, ready, stop: () => stopThread(worker) };
}

/** Starts measuring all audio streams in one thread. Answers in the order of the streams. */
export function startSoundThread(
  work: SoundWork,
  pipes: readonly NamedPipe[],
): Thread<{ readonly kind: 'done'; readonly outcomes: readonly SoundOutcome['outcome'][] }> {
  const worker = startThread(import.meta.url, './sound-thread', work);
  const ready = readiness(worker);
  const outcomes = new Map<number, SoundOutcome['outcome']>();
  type Answer = { kind: 'done'; outcomes: readonly SoundOutcome['outcome'][] };
  const answer = new Promise<Answer | Died>((resolve) => {
    const finish = (why: string): void => {
      for (const pipe of pipes) pipe.drain();
      const failed = { kind: 'failed' as const, why };
      resolve({ kind: 'done', outcomes: work.streams.map((_, index) => outcomes.get(index) ?? failed) });
    };
    worker.on('message', (message: SoundMessage) => {
      if (message.kind === 'outcome') outcomes.set(message.index, message.outcome);
    });
    worker.on('error', (error) => finish(error instanceof Error ? error.message : String(error)));
    worker.on('exit', (code) => finish(`the sound thread ended with code ${code} before its time`));
  });
  return { answer, ready, stop: () => stopThread(worker) };
}
