import type { Colour } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import { makeNamedPipes, type NamedPipe } from '../../ffmpeg/named-pipes.js';
import type { Tools } from '../../ffmpeg/tools.js';
import { startThread } from '../../start-thread.js';
import type { DrawnFrame } from './draw-frame.js';
import { fetchFrames } from './fetch-frames.js';
import type { FetchPlan } from './fetch-plan.js';
import type { FrameWork } from './mark.js';
import type { StillMessage, StillWork } from './still-thread.js';

export interface DrawOptions {
  readonly path: string;
  readonly video: VideoFacts;
  /** What the code values mean; null: as the file's tags say. */
  readonly colour: Colour | null;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
}

/**
 * Decodes frames and draws them, in a thread: pixels never hold up the event loop. One frame is in memory at
 * a time.
 *
 * Throws Error when not every frame came for certain, or could not be drawn. Nothing is left behind.
 *
 * @param works of the plan's frames only, in rising order of frame
 * @returns one picture for each work, in order
 */
export async function drawFrames(
  plan: FetchPlan,
  works: readonly FrameWork[],
  options: DrawOptions,
): Promise<DrawnFrame[]> {
  const { path, video, colour, tools, signal } = options;
  const folder = await makeNamedPipes(1);
  const [pipe] = folder.pipes;
  try {
    if (pipe === undefined) throw new Error('no pipe was made');
    const thread = startStillThread({ pipe: pipe.path, video, colour, works }, pipe);
    try {
      await thread.ready;
      await fetchFrames(plan, { path, video, pipe: pipe.path, tools, signal });
      pipe.release();
      return await thread.pictures;
    } finally {
      // Without our own end a thread that still reads meets the end of the pipe and leaves.
      pipe.release();
      await thread.stop();
    }
  } finally {
    folder.remove();
  }
}

interface StillThread {
  readonly ready: Promise<void>;
  /** Rejects where not every picture could be drawn. */
  readonly pictures: Promise<DrawnFrame[]>;
  stop(): Promise<void>;
}

function startStillThread(work: StillWork, pipe: NamedPipe): StillThread {
  const worker = startThread(import.meta.url, './still-thread', work);
  const drawn: DrawnFrame[] = [];
  let isReady = (): void => {};
  const ready = new Promise<void>((resolve) => {
    isReady = resolve;
  });
  const pictures = new Promise<DrawnFrame[]>((resolve, reject) => {
    const died = (why: string): void => {
      // A full pipe would halt ffmpeg for ever.
      pipe.drain();
      isReady();
      reject(new Error(why));
    };
    worker.on('message', (message: StillMessage) => {
      if (message.kind === 'open') isReady();
      else if (message.kind === 'drawn') drawn[message.index] = message.picture;
      else if (message.kind === 'failed') reject(new Error(message.why));
      else resolve(drawn);
    });
    worker.on('error', (error) => died(error instanceof Error ? error.message : String(error)));
    worker.on('exit', (code) => died(`the drawing thread ended with code ${code} before its time`));
  });
  // Whoever fetches hears of a failure first; the thread's own is then of no interest.
  pictures.catch(() => undefined);
  return {
    ready,
    pictures,
    stop: async () => {
      worker.unref();
      await worker.terminate();
    },
  };
}
