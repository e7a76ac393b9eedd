import { closeSync, openSync, readSync } from 'node:fs';
import { parentPort, workerData } from 'node:worker_threads';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import { type DrawnFrame, type FrameTracker, framePainter } from './draw-frame.js';
import { type FrameWork, framesOf } from './mark.js';

/** What the thread is started with: the frames come through the pipe one after the other, in this order. */
export interface StillWork {
  readonly pipe: string;
  readonly video: VideoFacts;
  readonly colour: Colour | null;
  /** A frame that is wanted with several marks, or lies in a second that is tracked too, comes once. */
  readonly works: readonly FrameWork[];
}

export type StillMessage =
  /** The pipe is open: nothing written to it can be lost any more. */
  | { readonly kind: 'open' }
  | { readonly kind: 'drawn'; readonly index: number; readonly picture: DrawnFrame }
  | { readonly kind: 'done' }
  | { readonly kind: 'failed'; readonly why: string };

function isStillWork(data: unknown): data is StillWork {
  return typeof data === 'object' && data !== null && 'works' in data && 'pipe' in data;
}

function post(message: StillMessage): void {
  parentPort?.postMessage(message);
}

/** False when the pipe ended before the frame did. */
function readFrame(fd: number, bytes: Uint8Array): boolean {
  let filled = 0;
  while (filled < bytes.length) {
    const got = readSync(fd, bytes, filled, bytes.length - filled, null);
    if (got === 0) return false;
    filled += got;
  }
  return true;
}

function drawAll(fd: number, { video, colour, works }: StillWork): StillMessage {
  const painter = framePainter(video, colour);
  const frames = [...new Set(works.flatMap(framesOf))].sort((a, b) => a - b);
  const trackers = new Map<FrameWork, FrameTracker>();
  for (const frame of frames) {
    if (!readFrame(fd, painter.bytes)) return { kind: 'failed', why: `frame ${frame} did not come` };
    const ended: { readonly index: number; readonly tracker: FrameTracker }[] = [];
    for (const [index, work] of works.entries()) {
      const { mark } = work;
      if (mark.kind !== 'flash') {
        if (work.frame === frame) post({ kind: 'drawn', index, picture: painter.draw(frame, mark) });
      } else if (work.frame <= frame && frame < mark.to) {
        const tracker = trackers.get(work) ?? painter.track(mark);
        trackers.set(work, tracker);
        tracker.see(frame);
        if (frame + 1 === mark.to) ended.push({ index, tracker });
      }
    }
    // Last: drawing another frame takes the place of the one that was read.
    for (const { index, tracker } of ended) post({ kind: 'drawn', index, picture: tracker.draw() });
  }
  return { kind: 'done' };
}

function main(work: StillWork): void {
  const fd = openSync(work.pipe, 'r');
  post({ kind: 'open' });
  let message: StillMessage;
  try {
    message = drawAll(fd, work);
  } catch (error) {
    message = { kind: 'failed', why: error instanceof Error ? error.message : String(error) };
  }
  post(message);
  // Whatever happened, ffmpeg must not be left writing to a full pipe.
  const scrap = new Uint8Array(2 ** 16);
  while (readSync(fd, scrap, 0, scrap.length, null) > 0);
  closeSync(fd);
}

if (isStillWork(workerData)) main(workerData);
