/** A file as the file system tells it. */
export interface SeenFile {
  readonly path: string;
  readonly bytes: number;
  /** ISO. */
  readonly modified: string;
}

/**
 * Names that copy programs, browsers and synchronisers give to a file until it is whole (common practice, no
 * source). Hidden ones are left out by every scan.
 */
const HALF_COPY = /(\.(part|partial|filepart|crdownload|download|tmp|temp|copying|incomplete|!ut)|~)$/i;

export function isHalfCopy(name: string): boolean {
  return HALF_COPY.test(name);
}

/**
 * Remembers since when each file has kept its size and time. The clock is one that nobody sets, and what was
 * seen before a restart counts for nothing: the file is looked at anew.
 */
export class SteadyFiles {
  readonly #steadyMs: number;
  readonly #now: () => number;
  #seen = new Map<string, { readonly file: SeenFile; readonly since: number }>();

  constructor(steadySeconds: number, now: () => number = () => performance.now()) {
    this.#steadyMs = steadySeconds * 1000;
    this.#now = now;
  }

  /**
   * All files there are now.
   *
   * @returns those that have been as they are for long enough; an empty file never is: its copy has not begun
   */
  look(files: readonly SeenFile[]): SeenFile[] {
    const now = this.#now();
    const seen = new Map<string, { readonly file: SeenFile; readonly since: number }>();
    for (const file of files) {
      const before = this.#seen.get(file.path);
      const isSame = before?.file.bytes === file.bytes && before.file.modified === file.modified;
      seen.set(file.path, isSame ? before : { file, since: now });
    }
    this.#seen = seen;
    return [...seen.values()]
      .filter(({ file, since }) => file.bytes > 0 && now - since >= this.#steadyMs)
      .map(({ file }) => file);
  }
}
