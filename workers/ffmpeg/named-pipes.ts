import { execFile } from 'node:child_process';
import { closeSync, constants, openSync } from 'node:fs';
import { Socket } from 'node:net';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { GoodgateError } from '../../jobs/errors.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';

/** A named pipe ffmpeg writes to and one of our threads reads from. */
export interface NamedPipe {
  readonly path: string;
  /**
   * Closes our own end. Until then neither side blocks in open(), and a reader sees no end of file before
   * ffmpeg has opened the pipe; afterwards the reader sees the end as soon as ffmpeg closes it. Safe to call
   * twice.
   */
  release(): void;
  /**
   * Reads and discards everything, for a reader that has died: a full pipe would block ffmpeg forever.
   */
  drain(): void;
  /** Reads on this thread. Ends when our own end is closed and ffmpeg has closed the pipe. */
  read(onChunk: (chunk: Buffer) => void): Promise<void>;
}

export interface PipeFolder {
  readonly pipes: readonly NamedPipe[];
  /** Releases all and removes the folder. Safe to call twice. */
  remove(): void;
}

/**
 * Makes named pipes in a folder only this user can open. Throws GoodgateError `measure-failed` where that is
 * not possible.
 */
export async function makeNamedPipes(names: readonly string[]): Promise<PipeFolder> {
  const { path: folder, remove: removeFolder } = makeTemporaryFolder('pipes');
  const pipes: NamedPipe[] = [];
  const remove = (): void => {
    for (const pipe of pipes) pipe.release();
    removeFolder();
  };
  try {
    const paths = names.map((name) => join(folder, name));
    if (paths.length > 0) await promisify(execFile)('mkfifo', ['-m', '600', '--', ...paths]);
    for (const path of paths) pipes.push(holdPipe(path));
  } catch (cause) {
    remove();
    throw new GoodgateError('measure-failed', {
      what: `named pipes for the output of ffmpeg could not be made: ${cause instanceof Error ? cause.message : cause}`,
      where: folder,
      next: 'check that the folder for temporary files allows named pipes (TMPDIR), and that mkfifo is installed',
      cause,
    });
  }
  return { pipes, remove };
}

function holdPipe(path: string): NamedPipe {
  let fd: number | null = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
  let drainer: Socket | null = null;
  // Our own end stays open meanwhile: otherwise a reader would see the end of file before ffmpeg opens the
  // pipe.
  const openReader = (): Socket => {
    const reading = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
    const socket = new Socket({ fd: reading, readable: true, writable: false });
    socket.on('error', () => {});
    return socket;
  };
  return {
    path,
    release() {
      if (fd !== null) closeSync(fd);
      fd = null;
    },
    drain() {
      if (drainer || fd === null) return;
      drainer = openReader();
      drainer.resume();
    },
    read(onChunk) {
      const socket = openReader();
      return new Promise((resolve) => {
        socket.on('data', onChunk).on('close', () => resolve());
      });
    },
  };
}
