import { closeSync, readSync } from 'node:fs';
import { parentPort, workerData } from 'node:worker_threads';
import { FrameRing } from './frame-ring.js';

/** What the thread is started with. */
export interface FrameReading {
  /** The open pipe; this thread closes it. */
  readonly fd: number;
  readonly ring: SharedArrayBuffer;
}

/**
 * Sent once, when the frame size is known: views of the memory of the kernel. Null: there is nothing to
 * measure.
 */
export type FrameSlots = readonly Uint8Array[] | null;

function isFrameReading(data: unknown): data is FrameReading {
  return typeof data === 'object' && data !== null && 'fd' in data && 'ring' in data;
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

function readFrames(fd: number, ring: FrameRing, slots: readonly Uint8Array[]): void {
  for (let frame = 0; ring.awaitRoom(frame); frame++) {
    const slot = slots[frame % slots.length];
    if (!slot) return;
    const got = readFull(fd, slot);
    if (got < slot.length) {
      ring.end(got);
      return;
    }
    ring.frameFilled();
  }
}

function main({ fd, ring: memory }: FrameReading, slots: FrameSlots): void {
  const ring = new FrameRing(memory);
  try {
    if (slots) readFrames(fd, ring, slots);
    // Whatever happened, ffmpeg must not be left writing to a full pipe.
    const scrap = new Uint8Array(2 ** 16);
    while (readSync(fd, scrap, 0, scrap.length, null) > 0);
    ring.end(ring.leftover);
  } catch {
    ring.end(0, true);
  } finally {
    closeSync(fd);
  }
}

if (isFrameReading(workerData) && parentPort) {
  const work = workerData;
  const port = parentPort;
  // One message, then the thread blocks in reads.
  port.once('message', (slots: FrameSlots) => main(work, slots));
}
