import type { Job } from 'bullmq';

const EVERY_MS = 500;

/**
 * Tells a job's progress at a pace Redis and eyes can follow.
 *
 * @param isLast true of what must be told however soon it comes
 */
export function pacedProgress<Progress extends object>(
  job: Job,
  isLast: (progress: Progress) => boolean,
): (progress: Progress) => void {
  let last = 0;
  return (progress) => {
    const now = performance.now();
    if (now - last < EVERY_MS && !isLast(progress)) return;
    last = now;
    // Progress that does not arrive (Redis away for a moment) is not worth a failed job.
    job.updateProgress(progress).catch(() => undefined);
  };
}
