const KEPT = 1_000;
const KEPT_LENGTH = 2_000;

/** `[error] ...`, after any number of `[name @ 0x...]` contexts. */
const ERROR_LINE = /^(?:\[[^\]]* @ [0-9a-fx]+\] )*\[(?:error|fatal|panic)\] /;
/** x265 writes to standard error by itself. */
const X265_LINE = /^x265 \[error\]:/;
const DISK_FULL = /(?:No space left on device|Disk quota exceeded)\s*$/;

/** Whether ffmpeg logged this line at level error or above. */
export function isErrorLine(line: string): boolean {
  return ERROR_LINE.test(line);
}

/** The error lines of one ffmpeg run: all are counted, the first 1,000 are kept. */
export class ErrorLog {
  readonly errors: string[] = [];
  count = 0;
  sawDiskFull = false;

  add(line: string): void {
    if (!isErrorLine(line) && !X265_LINE.test(line)) return;
    this.count += 1;
    this.sawDiskFull ||= DISK_FULL.test(line);
    if (this.errors.length < KEPT) this.errors.push(line.slice(0, KEPT_LENGTH));
  }
}
