import type { BatchTotals } from '../../../jobs/plan/batch.js';

/** A kind of result, as a badge and a filter name it. */
export type ResultKind =
  | 'fail'
  | 'unmeasured'
  | 'unreadable'
  | 'not-done'
  | 'refused'
  | 'waiting'
  | 'warn'
  | 'pass'
  | 'unjudged';

/** Every kind of result that there is, worst first, with how many there are. They add up to `results`. */
export function countsByKind(totals: BatchTotals): { readonly kind: ResultKind; readonly count: number }[] {
  const all: { readonly kind: ResultKind; readonly count: number }[] = [
    { kind: 'unreadable', count: totals.unreadable },
    { kind: 'fail', count: totals.fail },
    { kind: 'not-done', count: totals.notDone },
    { kind: 'unmeasured', count: totals.unmeasured },
    { kind: 'refused', count: totals.refused },
    { kind: 'waiting', count: totals.waiting },
    { kind: 'warn', count: totals.warn },
    { kind: 'pass', count: totals.pass },
    { kind: 'unjudged', count: totals.unjudged },
  ];
  return all.filter(({ count }) => count > 0);
}

/** Each kind as it is written. */
export const KIND_WORDS: Readonly<Record<ResultKind, string>> = {
  fail: 'fail',
  unmeasured: 'unmeasured',
  unreadable: 'unreadable',
  'not-done': 'not done',
  refused: 'refused',
  waiting: 'waiting',
  warn: 'warn',
  pass: 'pass',
  unjudged: 'not judged',
};

/** `1 unreadable, 5 fail, 3 warn, 16 pass`. */
export function countsInWords(totals: BatchTotals): string {
  const parts = countsByKind(totals).map(({ kind, count }) => `${count} ${KIND_WORDS[kind]}`);
  return parts.length === 0 ? 'none' : parts.join(', ');
}
