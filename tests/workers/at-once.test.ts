import { describe, expect, it } from 'vitest';
import { atOnce } from '../../workers/at-once.js';

/** Works that end when they are told to, in any order. */
function works(count: number) {
  const ends: (() => void)[] = [];
  const begun: number[] = [];
  const work = async (item: number): Promise<string> => {
    begun.push(item);
    await new Promise<void>((resolve) => {
      ends[item] = resolve;
    });
    if (item === 1) throw new Error('the second failed');
    return `${item}`;
  };
  const items = Array.from({ length: count }, (_, i) => i);
  const end = async (item: number): Promise<void> => {
    ends[item]?.();
    await new Promise(setImmediate);
  };
  return { begun, work, items, end };
}

describe('atOnce', () => {
  it('begins no more than so many at once, and gives the answers in the order of the items', async () => {
    const { begun, work, items, end } = works(4);
    const all = atOnce(
      2,
      items.filter((item) => item !== 1),
      work,
    );
    expect(begun).toEqual([0, 2]);
    await end(2);
    expect(begun).toEqual([0, 2, 3]);
    await end(0);
    await end(3);
    expect(await all).toEqual(['0', '2', '3']);
  });

  it('begins nothing after a failure, and ends when what was begun has', async () => {
    const { begun, work, items, end } = works(4);
    let hasEnded = false;
    const all = atOnce(2, items, work).finally(() => {
      hasEnded = true;
    });
    all.catch(() => undefined);
    await end(1);
    expect(begun).toEqual([0, 1]);
    expect(hasEnded).toBe(false);
    await end(0);
    await expect(all).rejects.toThrow('the second failed');
    expect(begun).toEqual([0, 1]);
  });
});
