/** Longer lines are cut. Lines of ffmpeg are far shorter. */
const MAX_LINE = 16_384;

export interface LineSplitter {
  write(chunk: string): void;
  /** Passes on the last line even without a line break. */
  end(): void;
}

/**
 * Cuts a stream of text into lines at LF, CR LF or CR, in order, in bounded memory. Empty lines are dropped.
 */
export function splitLines(onLine: (line: string) => void): LineSplitter {
  let rest = '';
  const give = (line: string) => {
    if (line !== '') onLine(line);
  };
  return {
    write(chunk) {
      const parts = chunk.split(/[\r\n]/);
      parts[0] = (rest + (parts[0] ?? '')).slice(0, MAX_LINE);
      rest = (parts.pop() ?? '').slice(0, MAX_LINE);
      for (const line of parts) give(line);
    },
    end() {
      give(rest);
      rest = '';
    },
  };
}
