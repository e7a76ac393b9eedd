import { closeSync, openSync, writeSync } from 'node:fs';

/** Frames of a file that are written aside while it is measured, for who would decode them once more. */
export interface KeepFrames {
  /** Numbers in the file, in rising order, each once. */
  readonly frames: readonly number[];
  /** Where they go, one after the other, in the planar format they are measured in. */
  readonly file: string;
  /** Told at the end of each decode: ffmpeg's name of that format; null where not all of them lie there. */
  readonly onEnd: (pixelFormat: string | null) => void;
}

/**
 * Writes those of the frames that pass which are to be kept. They are a spare copy: where one cannot be
 * written, the rest is not kept either, and measuring goes on.
 */
export class FrameWriter {
  readonly #wanted: readonly number[];
  #fd: number | null;
  #written = 0;

  constructor({ frames, file }: Pick<KeepFrames, 'frames' | 'file'>) {
    this.#wanted = frames;
    this.#fd = openToWrite(file);
  }

  /** @param frame its number in the file; they come in rising order */
  see(frame: number, planes: Uint8Array): void {
    if (this.#fd === null || frame !== this.#wanted[this.#written]) return;
    try {
      for (let at = 0; at < planes.length; ) at += writeSync(this.#fd, planes, at);
      this.#written++;
    } catch {
      this.#close();
    }
  }

  /** How many were written; none follow. */
  end(): number {
    this.#close();
    return this.#written;
  }

  #close(): void {
    if (this.#fd !== null) closeSync(this.#fd);
    this.#fd = null;
  }
}

function openToWrite(file: string): number | null {
  try {
    return openSync(file, 'w', 0o600);
  } catch {
    return null;
  }
}
