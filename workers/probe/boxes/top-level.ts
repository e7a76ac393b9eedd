import type { FileHandle } from 'node:fs/promises';
import { DamagedBoxes } from './walk-boxes.js';

/** The outermost boxes of a MOV or MP4 file. */
export interface TopLevel {
  /** Null where there is no index: a recording that was cut short. */
  readonly index: { readonly position: number; readonly bytes: number } | null;
  readonly brand: string | null;
  readonly indexFirst: boolean;
  readonly fragments: number;
  /** Bytes after the last box. */
  readonly trailingBytes: number;
}

/** An hour in fragments of one frame, at 120 a second. */
const MOST_BOXES = 500_000;
const PRINTABLE = /^[\x20-\x7e]{4}$/;

/**
 * Reads the headers of the outermost boxes only, however large the file is.
 *
 * @throws DamagedBoxes for more boxes than in any real file; errors of reading.
 */
export async function readTopLevel(file: FileHandle, bytes: number, signal: AbortSignal): Promise<TopLevel> {
  let index: TopLevel['index'] = null;
  let brand: string | null = null;
  let samplesAt: number | null = null;
  let fragments = 0;
  let trailingBytes = 0;
  let position = 0;
  for (let boxes = 0; position < bytes; boxes++) {
    signal.throwIfAborted();
    if (boxes === MOST_BOXES) throw new DamagedBoxes(`the file is a chain of more than ${MOST_BOXES} boxes`);
    const header = await readAt(file, position, 20);
    const type = header.toString('latin1', 4, 8);
    const size = sizeOf(header, bytes - position);
    if (size === null || !PRINTABLE.test(type)) {
      trailingBytes = bytes - position;
      break;
    }
    if (type === 'ftyp' && header.length >= 12) brand ??= header.toString('latin1', 8, 12);
    if (type === 'moov') index ??= { position, bytes: size };
    if (type === 'mdat') samplesAt ??= position;
    if (type === 'moof') fragments++;
    position += size;
  }
  return {
    index,
    brand,
    indexFirst: index !== null && (samplesAt === null || index.position < samplesAt),
    fragments,
    trailingBytes,
  };
}

/** Null where there is no box: too few bytes, or a size below that of its header. */
function sizeOf(header: Buffer, rest: number): number | null {
  if (header.length < 8) return null;
  const size = header.readUInt32BE(0);
  if (size === 0) return rest;
  if (size !== 1) return size < 8 ? null : size;
  const long = header.length < 16 ? 0 : Number(header.readBigUInt64BE(8));
  return long < 16 ? null : long;
}

/** Up to `length` bytes at a position. */
export async function readAt(file: FileHandle, position: number, length: number): Promise<Buffer> {
  const buffer = Buffer.alloc(length);
  let filled = 0;
  while (filled < length) {
    const { bytesRead } = await file.read(buffer, filled, length - filled, position + filled);
    if (bytesRead === 0) break;
    filled += bytesRead;
  }
  return buffer.subarray(0, filled);
}
