import { expect, it } from 'vitest';
import type { Priority } from '../../../jobs/plan/submission.js';
import { byTurn, type Standing } from '../../../workers/queue/order-batches.js';

/** Takes clips one by one as a worker does, until none is left. */
function taken(clips: Record<string, [Priority, string, number]>, late: Record<string, number> = {}): string {
  const batches = Object.entries(clips).map(([name, [priority, submittedAt, left]]) => ({
    name,
    left,
    from: late[name] ?? 0,
    standing: { priority, submittedAt, turn: 0 } as Standing,
  }));
  let order = '';
  for (let turn = 1; ; turn++) {
    const open = batches.filter(({ left, from }) => left > 0 && from < turn);
    const [first] = open.sort((a, b) => byTurn(a.standing, b.standing));
    if (first === undefined) return order;
    first.left--;
    first.standing = { ...first.standing, turn };
    order += first.name;
  }
}

it('batches of one priority take turns, the one submitted first first', () => {
  expect(taken({ b: ['normal', '2', 2], a: ['normal', '1', 4] })).toBe('ababaa');
  // One that comes later has its turn at once, and no more than its share.
  expect(taken({ a: ['normal', '1', 4], b: ['normal', '2', 2] }, { b: 2 })).toBe('aababa');
});

it('rush goes first whenever it comes, idle when nothing else is left', () => {
  const clips: Parameters<typeof taken>[0] = {
    ...{ i: ['idle', '0', 2], n: ['normal', '1', 3], r: ['rush', '2', 2] },
  };
  expect(taken(clips)).toBe('rrnnnii');
  expect(taken(clips, { r: 2 })).toBe('nnrrnii');
});
