import { describe, expect, it } from 'vitest';
import { Places } from '../../../workers/queue/places.js';

/** Work that lasts until it is let go. */
function held() {
  let end = (): void => undefined;
  const done = new Promise<void>((resolve) => {
    end = resolve;
  });
  return { work: () => done, end };
}

describe('the places of a worker', () => {
  it('go to clips first, and the rest to parts', async () => {
    const places = new Places(4);
    expect([places.forParts, places.idle, places.ofAClip]).toEqual([4, 4, 4]);
    const [a, b, part] = [held(), held(), held()];
    const working = [places.clip(a.work), places.clip(b.work)];
    expect([places.forParts, places.idle, places.ofAClip]).toEqual([2, 2, 2]);
    working.push(places.part(part.work));
    expect([places.forParts, places.idle, places.ofAClip]).toEqual([2, 1, 1]);
    for (const each of [a, b, part]) each.end();
    await Promise.all(working);
    expect([places.forParts, places.idle, places.ofAClip]).toEqual([4, 4, 4]);
  });

  it.each([
    // Places, cores, and the cores of a clip beside none, one, two and three others.
    [1, 64, [64]],
    [4, 16, [16, 8, 4, 4]],
    [8, 4, [4, 2, 2, 2]],
  ])('%d of them share %d cores among the clips', async (all, cores, shares) => {
    const places = new Places(all);
    const clip = held();
    const working: Promise<void>[] = [];
    for (const share of shares) {
      working.push(places.clip(clip.work));
      expect(places.coresOfAClip(cores), `${working.length} clips`).toBe(share);
    }
    clip.end();
    await Promise.all(working);
  });

  it('of a clip that waits for its parts are theirs, outside the hours too', async () => {
    const places = new Places(1);
    const clip = held();
    const working = places.clip(() => places.waiting(clip.work));
    expect(places.forParts).toBe(1);
    places.isOpen = false;
    expect(places.forParts).toBe(1);
    clip.end();
    await working;
    expect(places.forParts).toBe(0);
    places.isOpen = true;
    expect(places.forParts).toBe(1);
  });

  it('are never less than none, are free again after a failure, and tell of every change', async () => {
    let changes = 0;
    const places: Places = new Places(1, () => {
      changes++;
    });
    const [a, b] = [held(), held()];
    const working = [places.clip(a.work), places.clip(b.work)];
    expect([places.forParts, places.idle, places.ofAClip]).toEqual([0, 0, 1]);
    a.end();
    b.end();
    await Promise.all(working);
    expect(changes).toBe(4);
    await expect(places.part(() => Promise.reject(new Error('lost')))).rejects.toThrow('lost');
    expect(places.idle).toBe(1);
    expect(changes).toBe(6);
  });
});
