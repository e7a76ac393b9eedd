import { execFile } from 'node:child_process';
import { closeSync, constants, openSync, rmSync } from 'node:fs';
import { Socket } from 'node:net';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { GoodgateError } from '../../jobs/errors.js';
import { makeTemporaryFolder, type TemporaryFolder } from '../children/temporary-folder.js';

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
  /** Releases and removes all, and the folder with the last. Safe to call twice. */
  remove(): void;
}

/**
 * So many named pipes in a folder only this user can open. Throws GoodgateError `measure-failed` where that
 * is not possible.
 */
export async function makeNamedPipes(count: number): Promise<PipeFolder> {
  const pipes: NamedPipe[] = [];
  const stock = stockFor(count);
  stock.users++;
  let isRemoved = false;
  const remove = (): void => {
    if (isRemoved) return;
    isRemoved = true;
    for (const pipe of pipes) pipe.release();
    for (const { path } of pipes) rmSync(path, { force: true });
    leave(stock);
  };
  try {
    const paths = stock.unused.splice(0, count);
    await stock.made;
    for (const path of paths) pipes.push(holdPipe(path));
  } catch (cause) {
    remove();
    throw new GoodgateError('measure-failed', {
      what: `named pipes for the output of ffmpeg could not be made: ${cause instanceof Error ? cause.message : cause}`,
      where: stock.folder.path,
      next: 'check that the folder for temporary files allows named pipes (TMPDIR), and that mkfifo is installed',
      cause,
    });
  }
  return { pipes, remove };
}

/**
 * Pipes made by one `mkfifo`, since only another program can make them: a run of ffmpeg takes its pipes in
 * two or three steps, and others run at the same time. Each pipe is used once.
 */
interface Stock {
  readonly folder: TemporaryFolder;
  /** Rejects when the pipes could not be made. */
  readonly made: Promise<unknown>;
  readonly unused: string[];
  users: number;
}

const AT_ONCE = 8;

let current: Stock | null = null;

/** A stock with so many unused pipes: the current one, or a new one that takes its place. */
function stockFor(count: number): Stock {
  if (current !== null && current.unused.length >= count) return current;
  const folder = makeTemporaryFolder('pipes');
  const unused = Array.from({ length: Math.max(count, AT_ONCE) }, (_, index) =>
    join(folder.path, `${index}`),
  );
  const made = promisify(execFile)('mkfifo', ['-m', '600', '--', ...unused]);
  // Reported to each user of the stock.
  made.catch(() => {});
  current = { folder, made, unused, users: 0 };
  return current;
}

/** The last user of a stock removes it, with what is unused: nothing lies there while no ffmpeg runs. */
function leave(stock: Stock): void {
  stock.users--;
  if (stock.users > 0) return;
  if (current === stock) current = null;
  stock.folder.remove();
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
