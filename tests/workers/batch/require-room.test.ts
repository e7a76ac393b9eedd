import { once } from 'node:events';
import { afterAll, describe, expect, it } from 'vitest';
import { requireRoom, watchRoom } from '../../../workers/batch/require-room.js';
import { asideOf, type Room, roomIn } from '../../../workers/batch/volumes.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

describe('room for a clip', () => {
  const free = async (): Promise<number> => {
    const room = await roomIn(folder.path);
    return room.free - room.aside;
  };

  it.each([
    // What is known of finished clips counts for more than figures alone: a fifth or a half is forgiven.
    ['figures', false, 1.8, true],
    ['figures', false, 2.2, false],
    ['finished clips', true, 1.15, true],
    ['finished clips', true, 1.35, false],
  ])('by %s', async (_, isKnown, times, fits) => {
    const asked = requireRoom([{ folder: folder.path, bytes: times * (await free()), isKnown }]);
    if (fits) await asked;
    else await expect(asked).rejects.toMatchObject({ code: 'disk-full', where: folder.path });
  });

  it('adds up what goes onto one volume', async () => {
    const one = { folder: folder.path, bytes: 0.8 * (await free()), isKnown: true };
    await requireRoom([one]);
    await expect(requireRoom([one, { ...one, folder: '/' }, one])).rejects.toMatchObject({
      code: 'disk-full',
    });
  });

  it('keeps room for the report, and of a small volume no more than a quarter', () => {
    expect(asideOf(1e12)).toBe(64e6);
    expect(asideOf(20e6)).toBe(5e6);
  });
});

it('what is being made is ended while the report still has its room', async () => {
  const rooms: Room[] = [100, 70, 63].map((megabytes) => ({ device: 1, free: megabytes * 1e6, aside: 64e6 }));
  let asked = 0;
  const look = async (): Promise<Room> => {
    const room = rooms[asked++];
    // The last time it is asked nothing can be told: that ends nothing.
    if (room === undefined) throw new Error('gone');
    return room;
  };
  const watched = watchRoom('/work', look, 1);
  await once(watched.signal, 'abort');
  watched.stop();
  expect(asked).toBeGreaterThanOrEqual(3);
  expect(watched.signal.reason).toMatchObject({
    ...{ code: 'disk-full', where: '/work', what: 'only 63.0 MB are left, kept for the report' },
  });
});
