import { isQuiet } from '../print.js';

/** `measuring 42 %` on one line of a terminal; silent when stderr goes to a file. */
export function fractionProgress(what: string): { update(fraction: number): void; stop(): void } {
  const stream = process.stderr;
  let shown = -1;
  return {
    update(fraction) {
      const percent = Math.round(fraction * 100);
      if (!stream.isTTY || isQuiet() || percent === shown) return;
      shown = percent;
      stream.write(`\r\u001b[K${what} ${percent} %`);
    },
    stop() {
      if (shown >= 0) stream.write('\r\u001b[K');
      shown = -1;
    },
  };
}
