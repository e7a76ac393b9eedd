import { grouped } from '../../jobs/words/numbers.js';
import { bytes, progressPercent } from '../../jobs/words/quantities.js';
import { estimate } from '../../jobs/words/times.js';
import type { CardProgress } from '../../workers/hash-list/examine-card.js';
import { isQuiet } from '../print.js';

const BETWEEN_MS = 200;
/** Before that the rate is anybody's guess. */
const SETTLING_MS = 2_000;

/**
 * `verifying 12 of 340 files, 38 %, 410 MB/s, 3 min 20 s left, until 14:32` on one line of a terminal; silent
 * when stderr goes to a file.
 */
export function hashProgress(what: string): { update(progress: CardProgress): void; stop(): void } {
  const stream = process.stderr;
  const started = Date.now();
  let shownAt = 0;
  return {
    update(progress) {
      const now = Date.now();
      if (!stream.isTTY || isQuiet() || now - shownAt < BETWEEN_MS) return;
      shownAt = now;
      stream.write(`\r\u001b[K${hashProgressText(what, progress, now - started, new Date(now))}`);
    },
    stop() {
      if (shownAt > 0) stream.write('\r\u001b[K');
      shownAt = 0;
    },
  };
}

/** Pure. */
export function hashProgressText(
  what: string,
  { files, bytes: { done, total, known } }: CardProgress,
  elapsedMs: number,
  now: Date,
): string {
  const parts = [
    `${what} ${grouped(files.done)} of ${grouped(files.total)} files`,
    progressPercent(total === 0 ? 0 : done / total),
  ];
  const perMs = (done - known) / Math.max(1, elapsedMs);
  if (elapsedMs >= SETTLING_MS && perMs > 0) {
    const leftMs = (total - done) / perMs;
    const end = new Date(now.getTime() + leftMs);
    const clock = `${String(end.getHours()).padStart(2, '0')}:${String(end.getMinutes()).padStart(2, '0')}`;
    parts.push(`${bytes(perMs * 1000)}/s`, `${estimate(leftMs / 1000)} left, until ${clock}`);
  }
  return parts.join(', ');
}
