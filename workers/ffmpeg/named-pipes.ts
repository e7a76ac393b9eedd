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
   * Lets go of our own end. Until then neither side waits in open(), whichever comes first, and a reader sees
   * no end before ffmpeg has come; after it the reader sees the end as soon as ffmpeg has gone. Safe to call
   * twice.
   */
  release(): void;
  /**
   * Reads and drops everything, for the case that the reader has died: a full pipe would halt ffmpeg for
   * ever.
   */
  drain(): void;
  /** Reads here what is written. Ends when our own end is let go and ffmpeg has gone. */
  read(onChunk: (chunk: Buffer) => void): Promise<void>;
}

export interface PipeFolder {
  readonly pipes: readonly NamedPipe[];
  /** Releases all and removes the folder. Safe to call twice. */
  remove(): void;
}

/**
 * Makes named pipes in a folder only this user can enter. Throws GoodgateError `measure-failed` where the
 * system cannot.
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
      what: `named pipes for what ffmpeg gives could not be made: ${cause instanceof Error ? cause.message : cause}`,
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
  // Our own end stays open meanwhile: without it a reader would meet the end before ffmpeg has come.
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
