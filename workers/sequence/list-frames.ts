import { readdir, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import { frameDigits, sequenceName } from '../../jobs/manifest/sequence-path.js';
import { atOnce } from '../at-once.js';

/** A file of a sequence. */
export interface Frame {
  readonly number: number;
  /** Absolute path. */
  readonly path: string;
  readonly bytes: number;
  readonly modifiedMs: number;
}

export interface Frames {
  /** Those with content, by number; one for each number. */
  readonly frames: readonly Frame[];
  /** Numbers between the first and the last that no file has. */
  readonly missing: readonly number[];
  /** Numbers whose file has no byte. */
  readonly empty: readonly number[];
  /** Further files of a number that another file has, written with other zeros before it. */
  readonly doubled: readonly string[];
  /** All files of it, the ones that are not read among them. */
  readonly files: readonly Frame[];
}

const AT_ONCE = 16;
/** More than a day at 48 frames a second, and bounded memory. */
const MOST_FRAMES = 5_000_000;

/**
 * The files of a sequence as they lie in its folder now. Plain files only: a link or a folder with such a
 * name is none of its frames. Of two files with one number that counts whose number is written as in most
 * others.
 *
 * @param path absolute, `#` in place of the number
 * @throws GoodgateError `missing-file` where no frame is there or the folder cannot be listed,
 * `unreadable-clip` where more numbers are missing than there are.
 */
export async function listFrames(path: string): Promise<Frames> {
  const found = await numbered(path);
  const files = await atOnce(AT_ONCE, found, async ({ name, number }) => {
    const file = join(dirname(path), name);
    const { size, mtime } = await stat(file).catch((cause: unknown) => {
      throw notThere(file, cause);
    });
    return { number, path: file, bytes: size, modifiedMs: mtime.getTime() };
  });
  files.sort((a, b) => a.number - b.number);
  return { ...arrange(path, files), files };
}

async function numbered(path: string): Promise<{ name: string; number: number }[]> {
  const sequence = sequenceName(path);
  if (sequence === null) throw new Error(`no path of a sequence: ${path}`);
  const entries = await readdir(dirname(path), { withFileTypes: true }).catch((cause: unknown) => {
    throw notThere(path, cause);
  });
  return entries.flatMap((entry) => {
    const digits = entry.isFile() ? frameDigits(entry.name, sequence) : null;
    return digits === null ? [] : [{ name: entry.name, number: Number(digits) }];
  });
}

/** Pure but for its error. */
function arrange(path: string, files: readonly Frame[]): Omit<Frames, 'files'> {
  const usual = usualLength(files);
  const byNumber = new Map<number, Frame>();
  const doubled: string[] = [];
  for (const file of files) {
    const other = byNumber.get(file.number);
    const isBetter = other !== undefined && isRather(file, other, usual);
    if (other === undefined || isBetter) byNumber.set(file.number, file);
    if (other !== undefined) doubled.push(nameOf(isBetter ? other : file));
  }
  const chosen = [...byNumber.values()];
  const frames = chosen.filter(({ bytes }) => bytes > 0);
  const [first, last] = [frames[0], frames.at(-1)];
  if (first === undefined || last === undefined) {
    throw notThere(path, chosen.length === 0 ? 'no file has such a name' : 'all its files have 0 bytes');
  }
  const span = last.number - first.number + 1;
  if (span > MOST_FRAMES || span > 2 * chosen.length) {
    throw new GoodgateError('unreadable-clip', {
      what: `more of its numbers are missing than there are: ${chosen.length} of ${span}, from ${first.number} to ${last.number}`,
      where: path,
      next: 'copy the missing frames, or give each take a folder of its own',
    });
  }
  const missing: number[] = [];
  for (let number = first.number; number <= last.number; number++) {
    if (!byNumber.has(number)) missing.push(number);
  }
  const empty = chosen.filter(({ bytes }) => bytes === 0).map(({ number }) => number);
  return { frames, missing, empty, doubled };
}

/** A file with content before one without; then by the length of the name that most have. */
function isRather(file: Frame, other: Frame, usual: number): boolean {
  if (file.bytes > 0 !== other.bytes > 0) return file.bytes > 0;
  return nameOf(file).length === usual && nameOf(other).length !== usual;
}

function usualLength(files: readonly Frame[]): number {
  const counts = new Map<number, number>();
  for (const file of files) counts.set(nameOf(file).length, (counts.get(nameOf(file).length) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0]?.[0] ?? 0;
}

export function nameOf({ path }: Pick<Frame, 'path'>): string {
  return path.slice(path.lastIndexOf('/') + 1);
}

function notThere(path: string, cause: unknown): GoodgateError {
  return new GoodgateError('missing-file', {
    what: `the frames of the sequence are not there, or cannot be read${typeof cause === 'string' ? `: ${cause}` : ''}`,
    where: path,
    next: 'check the path, and that its card or volume is mounted here',
    cause,
  });
}
