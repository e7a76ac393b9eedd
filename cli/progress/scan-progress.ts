import { isQuiet } from '../print.js';

/** `scanning 12 of 340` on one line of a terminal; silent when stderr goes to a file. */
export interface ScanProgress {
  update(done: number, total: number): void;
  stop(): void;
}

export function scanProgress(): ScanProgress {
  const stream = process.stderr;
  let shown = false;
  return {
    update(done, total) {
      if (!stream.isTTY || isQuiet()) return;
      stream.write(`\r\u001b[Kscanning ${done} of ${total}`);
      shown = true;
    },
    stop() {
      if (shown) stream.write('\r\u001b[K');
      shown = false;
    },
  };
}
