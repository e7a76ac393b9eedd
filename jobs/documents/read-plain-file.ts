import { constants } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { GoodgateError } from '../errors.js';

/**
 * The bytes of a small regular file: a document, a look. Devices, pipes, sockets and folders are refused
 * without waiting for them. At most `most` bytes are read, even if the file grows meanwhile.
 *
 * Errors: missing-file (not there, not readable, not a regular file), bad-document (larger than `most`).
 */
export async function readPlainFile(path: string, most: number): Promise<Buffer> {
  const file = await openPlain(path);
  try {
    const found = await file.stat();
    if (!found.isFile()) {
      throw new GoodgateError('missing-file', {
        what: 'this is not a regular file',
        where: path,
        next: 'Name a file; folders, devices and pipes are not read.',
      });
    }
    const bytes = Buffer.allocUnsafe(Math.min(found.size, most) + 1);
    const length = await fill(file, bytes);
    if (length <= most && found.size <= most) return bytes.subarray(0, length);
    throw new GoodgateError('bad-document', {
      what: `the file has ${Math.max(found.size, length)} bytes; at most ${most} are read`,
      where: path,
      next: 'Split it, or check that it is the right file.',
    });
  } finally {
    await file.close();
  }
}

/** Opening a pipe for reading would otherwise wait for a writer. */
async function openPlain(path: string): Promise<FileHandle> {
  try {
    return await open(path, constants.O_RDONLY | constants.O_NONBLOCK);
  } catch (cause) {
    throw new GoodgateError('missing-file', {
      what: 'there is no such file, or it cannot be read',
      where: path,
      next: 'Check the path.',
      cause,
    });
  }
}

async function fill(file: FileHandle, bytes: Buffer): Promise<number> {
  let length = 0;
  while (length < bytes.length) {
    const { bytesRead } = await file.read(bytes, length, bytes.length - length, length);
    if (bytesRead === 0) break;
    length += bytesRead;
  }
  return length;
}
