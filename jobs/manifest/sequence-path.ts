/**
 * A picture sequence is written as one path, `#` in place of the frame number: `shots/s010.#.dpx` is all of
 * `s010.1001.dpx`, `s010.1002.dpx` and so on. The last `#` of the name counts. Only these kinds of file form
 * sequences.
 */
const SEQUENCE = /^(?<prefix>[^/]*)#(?<suffix>[^/#]*\.(?:dpx|exr|tiff?|dng))$/i;
/** A file that may be a frame of one. */
const PICTURE = /\.(?:dpx|exr|tiff?|dng)$/i;
/** Digits of a frame number at most: more would not be exact as a number. */
const MOST_DIGITS = 15;

export interface SequenceName {
  /** Of the path, with `/` at its end; '' where it has none. */
  readonly folder: string;
  /** Of every file: what stands before and after its number. */
  readonly prefix: string;
  readonly suffix: string;
}

/** The parts of the path of a sequence; null for that of a single file. */
export function sequenceName(path: string): SequenceName | null {
  const slash = path.lastIndexOf('/') + 1;
  const { prefix, suffix } = SEQUENCE.exec(path.slice(slash))?.groups ?? {};
  if (prefix === undefined || suffix === undefined) return null;
  return { folder: path.slice(0, slash), prefix, suffix };
}

export function sequencePath({ folder, prefix, suffix }: SequenceName): string {
  return `${folder}${prefix}#${suffix}`;
}

export function mayBeFrame(name: string): boolean {
  return PICTURE.test(name);
}

/** Digits of the number in a file's name; null where it is no frame of this sequence. */
export function frameDigits(name: string, { prefix, suffix }: SequenceName): string | null {
  if (!name.startsWith(prefix) || !name.endsWith(suffix)) return null;
  const digits = name.slice(prefix.length, name.length - suffix.length);
  return name.length > prefix.length + suffix.length && /^\d+$/.test(digits) && digits.length <= MOST_DIGITS
    ? digits
    : null;
}

/**
 * Every sequence that a file may be a frame of, one for each number in its name, the last number first, which
 * is usually that of the frame.
 */
export function sequencesOf(name: string): SequenceName[] {
  if (!mayBeFrame(name)) return [];
  const dot = name.lastIndexOf('.');
  return [...name.slice(0, dot).matchAll(/\d+/g)]
    .filter(([digits]) => digits.length <= MOST_DIGITS)
    .map((match) => ({
      folder: '',
      prefix: name.slice(0, match.index),
      suffix: name.slice(match.index + match[0].length),
    }))
    .filter(({ suffix }) => !suffix.includes('#'))
    .reverse();
}

/** Numbers as people write them: `1004, 1007-1010`. */
export function numberRanges(numbers: readonly number[]): string[] {
  const ranges: { from: number; to: number }[] = [];
  for (const number of numbers) {
    const last = ranges.at(-1);
    if (last !== undefined && number === last.to + 1) last.to = number;
    else ranges.push({ from: number, to: number });
  }
  return ranges.map(({ from, to }) => (from === to ? String(from) : `${from}-${to}`));
}
