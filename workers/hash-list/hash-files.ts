import { constants } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { HashFormat } from '../../jobs/hash-list/hash-format.js';
import { atOnce } from '../at-once.js';
import { errnoOf } from '../batch/write-whole.js';
import { fileChanged } from '../file/file-state.js';
import { makeHasher } from './hasher.js';

export type Hashes = ReadonlyMap<HashFormat, string>;

const PIECE_BYTES = 4 << 20;
/** Enough to keep a disk busy while hashes are reckoned; more make a spinning disk seek. */
const FILES_AT_ONCE = 4;

export interface HashOptions {
  readonly signal?: AbortSignal | undefined;
  /** Called with the bytes of each piece that was hashed. */
  readonly onBytes?: ((bytes: number) => void) | undefined;
}

export interface HashFileOptions extends HashOptions {
  /** Given every piece as well, in order. */
  readonly also?: ((piece: Uint8Array) => void) | undefined;
  /** Ends when what begins at this byte may be read; default: at once. */
  readonly turn?: ((at: number) => Promise<void>) | undefined;
}

/**
 * Hashes of a file in several formats from one read. The next piece is read while the last is hashed. A link
 * is not followed.
 *
 * @throws GoodgateError `missing-file` where it cannot be opened or read to its end, `file-changed`,
 * `interrupted`.
 */
export async function hashFileIn(
  formats: readonly HashFormat[],
  path: string,
  { signal, onBytes, also, turn }: HashFileOptions = {},
): Promise<Hashes> {
  const hashers = await Promise.all(
    formats.map(async (format) => [format, await makeHasher(format)] as const),
  );
  const file = await openPlain(path);
  try {
    const before = await file.stat({ bigint: true });
    for await (const piece of piecesOf(file, path, { signal, turn })) {
      also?.(piece);
      for (const [, hasher] of hashers) hasher.update(piece);
      onBytes?.(piece.length);
    }
    const after = await file.stat({ bigint: true });
    const isSame =
      before.size === after.size && before.mtimeNs === after.mtimeNs && before.ctimeNs === after.ctimeNs;
    if (!isSame) throw fileChanged(path);
  } finally {
    await file.close();
  }
  return new Map(hashers.map(([format, hasher]) => [format, hasher.digest()]));
}

async function* piecesOf(
  file: FileHandle,
  path: string,
  { signal, turn }: Pick<HashFileOptions, 'signal' | 'turn'>,
): AsyncGenerator<Uint8Array> {
  let [now, next] = [Buffer.allocUnsafe(PIECE_BYTES), Buffer.allocUnsafe(PIECE_BYTES)];
  const read = async (into: Buffer, at: number): Promise<number> => {
    await turn?.(at);
    try {
      return (await file.read(into, 0, PIECE_BYTES, at)).bytesRead;
    } catch (cause) {
      throw unreadable(path, cause);
    }
  };
  let at = 0;
  let length = await read(now, at);
  while (length > 0) {
    if (signal?.aborted === true) throw new GoodgateError('interrupted', { what: 'interrupted' });
    at += length;
    const reading = read(next, at);
    // Who takes no more pieces leaves this read to end by itself.
    reading.catch(() => undefined);
    try {
      yield now.subarray(0, length);
    } finally {
      await reading.catch(() => undefined);
    }
    length = await reading;
    [now, next] = [next, now];
  }
}

async function openPlain(path: string): Promise<FileHandle> {
  try {
    return await open(path, constants.O_RDONLY | constants.O_NOFOLLOW | constants.O_NONBLOCK);
  } catch (cause) {
    throw unreadable(path, cause);
  }
}

function unreadable(path: string, cause: unknown): GoodgateError {
  return new GoodgateError('missing-file', {
    what: `the file cannot be read (${errnoOf(cause) ?? String(cause)})`,
    where: path,
    next: 'check the disk or card reader, and that you may read it',
    cause,
  });
}

/** A file to hash, and what came of it: its hashes, or why there are none. */
export interface FileToHash {
  readonly path: string;
  readonly formats: readonly HashFormat[];
}
export type Hashed = { readonly hashes: Hashes } | { readonly reason: string };

/**
 * Hashes several files at once; the fault of one is its own.
 *
 * @param root folder their paths start from
 * @param onFile called when a file is done, one at a time
 * @throws GoodgateError `interrupted`
 */
export function hashFiles<File extends FileToHash>(
  root: string,
  files: readonly File[],
  options: HashOptions & { readonly onFile?: (file: File, hashed: Hashed) => void },
): Promise<Hashed[]> {
  return atOnce(FILES_AT_ONCE, files, async (file) => {
    const hashed = await hashOne(join(root, file.path), file.formats, options);
    options.onFile?.(file, hashed);
    return hashed;
  });
}

async function hashOne(path: string, formats: readonly HashFormat[], options: HashOptions): Promise<Hashed> {
  if (options.signal?.aborted === true) throw new GoodgateError('interrupted', { what: 'interrupted' });
  try {
    return { hashes: await hashFileIn(formats, path, options) };
  } catch (error) {
    if (!(error instanceof GoodgateError) || error.code === 'interrupted') throw error;
    return { reason: error.what };
  }
}
