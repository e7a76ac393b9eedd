import { openSync } from 'node:fs';
import { parentPort, type Worker, workerData } from 'node:worker_threads';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import { parseRational } from '../../../signal/rational.js';
import { startThread } from '../../start-thread.js';
import { WasmKernel } from '../picture/kernel/wasm-kernel.js';
import { picturePlan } from '../picture/plan/picture-plan.js';
import { PictureRecorder } from '../picture/recording/picture-recorder.js';
import type { FrameColumns, PictureTotals } from '../picture/recording/picture-totals.js';
import { FrameGate } from './frame-gate.js';
import type { FrameReading, FrameSlots } from './frame-reader-thread.js';
import { FrameRing } from './frame-ring.js';
import { FrameWriter, type KeepFrames } from './kept-frames.js';

/** What the thread is started with. */
export interface PictureWork {
  readonly kernel: WebAssembly.Module;
  readonly pipe: string;
  readonly gate: SharedArrayBuffer;
  readonly video: VideoFacts;
  readonly colour: Colour | null;
  /** Number in the file of the first frame that comes. */
  readonly firstFrame: number;
  /** Number of lead-in frames, before the part of the file that is measured here. */
  readonly lead: number;
  /** Frames to write aside, by their number in the file: where the whole of it comes. */
  readonly keep: Pick<KeepFrames, 'frames' | 'file'> | null;
}

export type PictureMessage =
  /** The pipe is open: nothing written to it can be lost any more. */
  | { readonly kind: 'open' }
  | { readonly kind: 'progress'; readonly frames: number }
  | {
      readonly kind: 'done';
      readonly totals: PictureTotals;
      /** Figures of the lead-in frames. */
      readonly lead: FrameColumns;
      /** How many of the frames to keep were written; absent where none were to be kept. */
      readonly kept?: number | undefined;
      readonly read: PictureRead;
    }
  | { readonly kind: 'failed'; readonly why: string; readonly read: PictureRead };

export interface PictureRead {
  /** Complete frames read from the pipe, measured or not. */
  readonly frames: number;
  /** Bytes of an incomplete last frame. */
  readonly leftover: number;
  /** Whether the log stopped while frames still arrived. */
  readonly silent: boolean;
}

/**
 * How long a frame waits for its line in the log; only a blocked main thread could take this long.
 */
const SILENCE_MS = 60_000;
const PROGRESS_MS = 200;

function isPictureWork(data: unknown): data is PictureWork {
  return typeof data === 'object' && data !== null && 'gate' in data && 'pipe' in data;
}

function post(message: PictureMessage): void {
  parentPort?.postMessage(message, message.kind === 'done' ? [...buffersIn(message)] : []);
}

/**
 * Memory of all numbers in a message, each once: it is transferred, since a copy of the columns of a film
 * would double the memory.
 */
function buffersIn(value: unknown, found = new Set<ArrayBuffer>()): ReadonlySet<ArrayBuffer> {
  if (ArrayBuffer.isView(value)) {
    if (value.buffer instanceof ArrayBuffer) found.add(value.buffer);
  } else if (typeof value === 'object' && value !== null) {
    for (const part of Object.values(value)) buffersIn(part, found);
  }
  return found;
}

function measurePictures(work: PictureWork, ring: FrameRing, reader: Worker): PictureMessage {
  const gate = new FrameGate(work.gate);
  const none = { frames: 0, leftover: 0, silent: false };
  // Before the first frame there is no size to read in: waits as long as decoding takes to begin.
  if (gate.wait(0, 2 ** 31 - 1) === 'silent')
    return { kind: 'failed', why: 'no picture was decoded', read: none };
  const plan = picturePlan(work.video, work.colour, gate.raster);
  if ('unknown' in plan) return { kind: 'failed', why: plan.unknown, read: none };

  const rate = work.video.frameRate === null ? null : parseRational(work.video.frameRate);
  const kernel = new WasmKernel(plan, work.kernel);
  const recorder = new PictureRecorder(plan, kernel, rate, work.firstFrame, work.video.frames);
  const { slots } = recorder;
  const writer = work.keep === null ? null : new FrameWriter(work.keep);
  sendSlots(reader, slots);
  let frames = 0;
  let measuring = true;
  let silent = false;
  let lastProgress = Date.now();
  while (ring.awaitFrame(frames)) {
    if (measuring) {
      const answer = gate.wait(frames, SILENCE_MS);
      if (answer !== 'measure') measuring = false;
      else if (frames < work.lead) recorder.lookAt(frames);
      else {
        recorder.measure(frames);
        const slot = slots[frames % slots.length];
        if (slot !== undefined) writer?.see(frames, slot);
      }
      silent = answer === 'silent';
    }
    frames++;
    ring.frameMeasured();
    if (Date.now() - lastProgress >= PROGRESS_MS) {
      lastProgress = Date.now();
      post({ kind: 'progress', frames });
    }
  }
  const kept = writer?.end();
  const read = { frames, leftover: ring.leftover, silent };
  if (ring.failed) return { kind: 'failed', why: 'the decoded picture could not be read', read };
  return { kind: 'done', totals: recorder.finish(), lead: recorder.lead, kept, read };
}

function sendSlots(reader: Worker, slots: FrameSlots): void {
  reader.postMessage(slots);
}

function main(work: PictureWork): void {
  const ring = new FrameRing();
  const reading: FrameReading = { fd: openSync(work.pipe, 'r'), ring: ring.memory };
  post({ kind: 'open' });
  const reader = startThread(import.meta.url, './frame-reader-thread', reading);
  let message: PictureMessage;
  try {
    message = measurePictures(work, ring, reader);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    message = { kind: 'failed', why, read: { frames: 0, leftover: 0, silent: false } };
  }
  post(message);
  // The reader keeps emptying the pipe until ffmpeg has ended, and then ends by itself.
  ring.discard();
  sendSlots(reader, null);
}

if (isPictureWork(workerData)) main(workerData);
