import { constants, type Stats } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { GoodgateError } from '../errors.js';

/**
 * The bytes of a small regular file: a document, a look. Devices, pipes, sockets and folders are refused
 * without waiting for them. At most `most` bytes are read, even if the file grows meanwhile.
 *
 * Errors: missing-file (not there, not readable, not a regular file), bad-document (larger than `most`).
 */
export async function readPlainFile(path: string, most: number): Promise<Buffer> {
  const file = await open(path, WITHOUT_WAITING).catch((cause: unknown) => {
    throw new GoodgateError('missing-file', {
      what: 'there is no such file, or it cannot be read',
      where: path,
      next: 'Check the path.',
      cause,
    });
  });
  return readAndClose(file, path, async ({ size }) => {
    const bytes = Buffer.allocUnsafe(Math.min(size, most) + 1);
    const length = await fill(file, bytes);
    if (length <= most && size <= most) return bytes.subarray(0, length);
    throw new GoodgateError('bad-document', {
      what: `the file has ${Math.max(size, length)} bytes; at most ${most} are read`,
      where: path,
      next: 'Split it, or check that it is the right file.',
    });
  });
}

/**
 * Opens a regular file for reading and hands it over with what `stat` gives; closed afterwards. For what has
 * no bound of its own, or needs more of a file than its bytes.
 *
 * Throws what the file system throws when it is opened, and missing-file for what is not a regular file.
 */
export async function withPlainFile<T>(
  path: string,
  read: (file: FileHandle, found: Stats) => Promise<T>,
): Promise<T> {
  const file = await open(path, WITHOUT_WAITING);
  return readAndClose(file, path, (found) => read(file, found));
}

/** Opening a pipe for reading would otherwise wait for a writer. */
const WITHOUT_WAITING = constants.O_RDONLY | constants.O_NONBLOCK;

async function readAndClose<T>(
  file: FileHandle,
  path: string,
  read: (found: Stats) => Promise<T>,
): Promise<T> {
  try {
    const found = await file.stat();
    if (found.isFile()) return await read(found);
    throw new GoodgateError('missing-file', {
      what: 'this is not a regular file',
      where: path,
      next: 'Name a file; folders, devices and pipes are not read.',
    });
  } finally {
    await file.close();
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
