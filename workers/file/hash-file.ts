import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import type { FileHandle } from 'node:fs/promises';
import { stat } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import { filesOf } from './clip-files.js';

export interface HashOptions {
  readonly signal?: AbortSignal | undefined;
  /** Share of the file that was read, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/**
 * SHA-256 of a file of any size, 64 hex digits, read in pieces; of a picture sequence that of all its files,
 * one after the other. Errors: missing-file, interrupted.
 */
export async function hashFile(path: string, { signal, onProgress }: HashOptions = {}): Promise<string> {
  const hash = createHash('sha256');
  let done = 0;
  try {
    const files = await filesOf(path);
    let size = 0;
    for (const file of files) size += (await stat(file)).size;
    for (const file of files) {
      for await (const piece of createReadStream(file, { highWaterMark: 1 << 20, signal })) {
        if (!(piece instanceof Buffer)) continue;
        hash.update(piece);
        done += piece.length;
        onProgress?.(size === 0 ? 1 : Math.min(1, done / size));
      }
    }
  } catch (cause) {
    if (signal?.aborted === true) throw new GoodgateError('interrupted', { what: 'interrupted', cause });
    throw new GoodgateError('missing-file', {
      what: 'the file is not there, or cannot be read to its end',
      where: path,
      next: 'check the path',
      cause,
    });
  }
  return hash.digest('hex');
}

/** Pieces of a file that `sampleDigest` reads, and their bytes. */
const PIECES = 16;
const PIECE_BYTES = 65_536;

/**
 * SHA-256 of the size of a file and of 16 pieces of 64 KiB spread evenly over it, head and tail among them,
 * 64 hex digits; the whole file up to 1 MiB. It distinguishes files of the same size and time without reading
 * all of them; it does not prove that every byte is the same.
 */
export async function sampleDigest(file: FileHandle, bytes: number): Promise<string> {
  const hash = createHash('sha256').update(`${bytes}\n`);
  const buffer = Buffer.alloc(PIECE_BYTES);
  const spread = Math.max(0, bytes - PIECE_BYTES) / (PIECES - 1);
  let read = 0;
  for (let piece = 0; piece < PIECES; piece++) {
    // Pieces that would overlap start at the end of the previous one.
    const from = Math.max(read, Math.round(piece * spread));
    const { bytesRead } = await file.read(buffer, 0, Math.min(PIECE_BYTES, bytes - from), from);
    hash.update(buffer.subarray(0, bytesRead));
    read = from + bytesRead;
  }
  return hash.digest('hex');
}
