import type { Batch } from '../../../jobs/plan/batch.js';

/** Why there is no file to judge. */
export type UndoneKind = 'unreadable' | 'not-done' | 'refused' | 'waiting';

/** A clip, or one output of a clip, that produced no file to judge. */
export interface Undone {
  readonly id: string;
  readonly kind: UndoneKind;
  readonly clip: string;
  readonly target: string | null;
  readonly what: string;
  readonly next: string;
}

/** Everything that produced no file to judge: unreadable clips, then what was not done, then refused. */
export function undoneOf(batch: Batch): Undone[] {
  const all: Omit<Undone, 'id'>[] = [
    ...batch.unreadable.map(({ file, reason, next }) => ({
      kind: 'unreadable' as const,
      clip: file,
      target: null,
      what: reason,
      next: next ?? 'Copy it from its card again, or take it out of the manifest.',
    })),
    ...batch.clips
      .filter((clip) => clip.state !== 'done')
      .map((clip) => ({
        kind: clip.state === 'failed' ? ('not-done' as const) : ('waiting' as const),
        clip: clip.name,
        target: null,
        what: clip.error?.what ?? 'Its turn did not come before the batch ended.',
        next: clip.error?.next ?? 'Run the same command again: it goes on with what is missing.',
      })),
    ...batch.refused.map(({ clip, target, reason, next }) => ({
      kind: 'refused' as const,
      clip,
      target,
      what: reason,
      next,
    })),
  ];
  return all.map((one, index) => ({ ...one, id: `undone-${index + 1}` }));
}
