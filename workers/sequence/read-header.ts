import { type FileHandle, open } from 'node:fs/promises';
import { type FrameHeader, HeaderFault } from './frame-header.js';
import { isDpx, readDpx } from './read-dpx.js';
import { isExr, readExr } from './read-exr.js';
import { isTiff, readTiff } from './read-tiff.js';

/** All of a DPX header, and of OpenEXR with thumbnails and much metadata. */
const HEAD_BYTES = 64 * 1024;

/**
 * The header of a frame, by what it is and not by what it is called. Reads at most 128 KiB.
 *
 * @throws HeaderFault; errors of the file system
 */
export async function readHeader(path: string): Promise<FrameHeader> {
  const file = await open(path, 'r');
  try {
    const head = await bytesAt(file, 0, HEAD_BYTES);
    if (isDpx(head)) return readDpx(head);
    if (isExr(head)) return readExr(head);
    if (isTiff(head)) return await readTiff(head, (from, bytes) => bytesAt(file, from, bytes));
    throw new HeaderFault('it does not begin as DPX, OpenEXR or TIFF do');
  } finally {
    await file.close();
  }
}

async function bytesAt(file: FileHandle, from: number, bytes: number): Promise<Uint8Array> {
  const buffer = Buffer.alloc(bytes);
  const { bytesRead } = await file.read(buffer, 0, bytes, from);
  return buffer.subarray(0, bytesRead);
}
