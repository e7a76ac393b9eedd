import { closeSync, openSync, readSync } from 'node:fs';
import { parentPort, workerData } from 'node:worker_threads';
import type { Colour } from '../../../jobs/colour.js';
import type { VideoFacts } from '../../../jobs/facts.js';
import { FrameGate } from './frame-gate.js';
import { picturePlan } from './picture-plan.js';
import type { PictureTotals } from './picture-totals.js';
import { ScalarKernel } from './scalar-kernel.js';

/** What the thread is started with. */
export interface PictureWork {
  readonly pipe: string;
  readonly gate: SharedArrayBuffer;
  readonly video: VideoFacts;
  readonly colour: Colour | null;
}

export type PictureMessage =
  /** The pipe is open: nothing written to it can be lost any more. */
  | { readonly kind: 'open' }
  | { readonly kind: 'progress'; readonly frames: number }
  | { readonly kind: 'done'; readonly totals: PictureTotals; readonly read: PictureRead }
  | { readonly kind: 'failed'; readonly why: string; readonly read: PictureRead };

export interface PictureRead {
  /** Whole frames that came through the pipe, measured or not. */
  readonly frames: number;
  /** Bytes of a last frame that was never finished. */
  readonly leftover: number;
  /** The log fell silent while frames came. */
  readonly silent: boolean;
}

/** How long a frame may wait for its line of the log. The main thread would have to stand still for as long. */
const SILENCE_MS = 60_000;
const PROGRESS_MS = 200;

function isPictureWork(data: unknown): data is PictureWork {
  return typeof data === 'object' && data !== null && 'gate' in data && 'pipe' in data;
}

function post(message: PictureMessage): void {
  parentPort?.postMessage(message);
}

/** Fills the buffer from the pipe; the number of bytes, less than asked for only at the end. */
function readFull(fd: number, buffer: Uint8Array): number {
  let filled = 0;
  while (filled < buffer.length) {
    const got = readSync(fd, buffer, filled, buffer.length - filled, null);
    if (got === 0) break;
    filled += got;
  }
  return filled;
}

function measurePictures(fd: number, work: PictureWork): PictureMessage {
  const gate = new FrameGate(work.gate);
  const none = { frames: 0, leftover: 0, silent: false };
  // Before the first frame there is no size to read in: waits as long as decoding takes to begin.
  if (gate.wait(0, 2 ** 31 - 1) === 'silent')
    return { kind: 'failed', why: 'no picture was decoded', read: none };
  const plan = picturePlan(work.video, work.colour, gate.raster);
  if ('unknown' in plan) return { kind: 'failed', why: plan.unknown, read: none };

  const kernel = new ScalarKernel(plan);
  let frames = 0;
  let measuring = true;
  let silent = false;
  let lastProgress = Date.now();
  for (;;) {
    const got = readFull(fd, kernel.frame);
    if (got < kernel.frame.length) {
      const read = { frames, leftover: got, silent };
      return { kind: 'done', totals: kernel.finish(), read };
    }
    if (measuring) {
      const answer = gate.wait(frames, SILENCE_MS);
      if (answer === 'measure') kernel.measure();
      else measuring = false;
      silent = answer === 'silent';
    }
    frames++;
    if (Date.now() - lastProgress >= PROGRESS_MS) {
      lastProgress = Date.now();
      post({ kind: 'progress', frames });
    }
  }
}

function main(work: PictureWork): void {
  const fd = openSync(work.pipe, 'r');
  post({ kind: 'open' });
  let message: PictureMessage;
  try {
    message = measurePictures(fd, work);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    message = { kind: 'failed', why, read: { frames: 0, leftover: 0, silent: false } };
  }
  post(message);
  // Whatever happened, ffmpeg must not be left writing to a full pipe.
  const scrap = new Uint8Array(2 ** 16);
  while (readSync(fd, scrap, 0, scrap.length, null) > 0);
  closeSync(fd);
}

if (isPictureWork(workerData)) main(workerData);
