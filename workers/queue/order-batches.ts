import { type Priority, priority } from '../../jobs/plan/submission.js';

/** What matters to whose turn it is. */
export interface Standing {
  readonly priority: Priority;
  /** By the server's clock. */
  readonly submittedAt: string;
  /** When this worker last took a clip of it, counted in clips it took; 0: none yet. */
  readonly turn: number;
}

/** From first to last. */
const RANKS: readonly Priority[] = priority.options;

/**
 * Whose clips are taken first: those of the higher priority; among batches of one, of the batch that has
 * waited longest for its turn, so that a large one does not hold up a small one; then of the earlier
 * submitted. For sorting. Pure.
 */
export function byTurn(a: Standing, b: Standing): number {
  const rank = RANKS.indexOf(a.priority) - RANKS.indexOf(b.priority);
  if (rank !== 0) return rank;
  if (a.turn !== b.turn) return a.turn - b.turn;
  return a.submittedAt < b.submittedAt ? -1 : 1;
}
