import { progressPercent } from '../../jobs/words/quantities.js';
import { isQuiet } from '../print.js';
import { PACE_MS } from './pace.js';

export interface FractionProgress {
  update(fraction: number): void;
  /** What is being done from now on. */
  name(what: string): void;
  stop(): void;
}

/**
 * `measuring 42 %`: on one line of a terminal, or as a line now and then where stderr goes to a file or a
 * pipe.
 */
export function fractionProgress(
  first: string,
  stream: NodeJS.WriteStream = process.stderr,
): FractionProgress {
  let what = first;
  let shown = '';
  let last = performance.now();
  const show = (text: string): void => {
    if (isQuiet() || text === shown) return;
    if (stream.isTTY) stream.write(`\r\u001b[K${inOneLine(text, stream.columns ?? 80)}`);
    else if (performance.now() - last < PACE_MS) return;
    else {
      stream.write(`${text}\n`);
      last = performance.now();
    }
    shown = text;
  };
  return {
    update(fraction) {
      show(`${what} ${progressPercent(fraction)}`);
    },
    name(next) {
      what = next;
      if (stream.isTTY) show(what);
    },
    stop() {
      if (shown !== '' && stream.isTTY) stream.write('\r\u001b[K');
      shown = '';
    },
  };
}

/** The end is kept: the percentage stands there, and what tells names apart. */
function inOneLine(text: string, columns: number): string {
  const characters = Array.from(text);
  return characters.length < columns ? text : `…${characters.slice(2 - columns).join('')}`;
}
