import { constants, type FileHandle, open } from 'node:fs/promises';

/**
 * Opens a file for reading and hands it over, closed afterwards. A pipe, a device or a folder is refused
 * instead: reading one may never end. The open itself does not wait for a pipe's other side.
 *
 * Throws what the file system throws, and Error for what is no plain file.
 */
export async function withPlainFile<T>(path: string, read: (file: FileHandle) => Promise<T>): Promise<T> {
  const file = await open(path, constants.O_RDONLY | constants.O_NONBLOCK);
  try {
    if (!(await file.stat()).isFile()) throw new Error(`${path} is no plain file`);
    return await read(file);
  } finally {
    await file.close();
  }
}
