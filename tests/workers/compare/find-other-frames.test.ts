import { describe, expect, it } from 'vitest';
import { findOtherFrames } from '../../../workers/compare/order/find-other-frames.js';
import { matchTones } from '../../../workers/compare/order/match-tones.js';
import type { Signatures } from '../../../workers/measure/picture/signature/packed-signature.js';

const FRAMES = 60;
const VALUES = 96;

/** A picture that moves: each field swings at a pace of its own. `noise` as a signal, other at each frame. */
function moving(frames = FRAMES, { noise = 0, seed = 1, pace = 0.15 } = {}): Float64Array[] {
  let state = seed;
  const random = (): number => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32 - 0.5;
  };
  return Array.from({ length: frames }, (_, frame) =>
    Float64Array.from(
      { length: VALUES },
      (_each, i) => 0.4 + 0.2 * Math.sin(frame * pace * (1 + i / VALUES) + i) + noise * random(),
    ),
  );
}

function signatures(frames: readonly Float64Array[]): Signatures {
  const none = new Float64Array(VALUES);
  return { frames: frames.length, values: VALUES, read: (frame, into) => into.set(frames[frame] ?? none) };
}

/** The frames in another order, by their numbers. */
const ordered = (frames: readonly Float64Array[], order: readonly number[]): Signatures =>
  signatures(order.map((frame) => frames[frame] ?? new Float64Array(VALUES)));

const ALL = Array.from({ length: FRAMES }, (_, frame) => frame);
const swapped = ALL.map((frame) => (frame === 20 ? 21 : frame === 21 ? 20 : frame));
const repeated = ALL.map((frame) => (frame === 31 ? 30 : frame));
const lost = ALL.map((frame) => (frame >= 40 ? frame + 1 : frame));

const FOUND = [
  { what: 'nothing of a copy in order', order: ALL, apart: [] },
  {
    what: 'two frames that were swapped',
    order: swapped,
    apart: [
      { from: 20, to: 21, shows: 21 },
      { from: 21, to: 22, shows: 20 },
    ],
  },
  {
    what: 'a repeated frame in place of the next',
    order: repeated,
    apart: [{ from: 31, to: 32, shows: 30 }],
  },
  { what: 'all after a lost frame', order: lost, apart: [{ from: 40, to: FRAMES, shows: 41 }] },
  {
    what: 'a frame from far off',
    order: ALL.map((frame) => (frame === 5 ? 45 : frame)),
    apart: [{ from: 5, to: 6, shows: 45 }],
  },
];

describe.each([0, 0.005])('with %d of noise by coding', (noise) => {
  const original = moving(FRAMES + 1);
  const copied = moving(FRAMES + 1, { noise, seed: 7 });

  it.each(FOUND)('finds $what', async ({ order, apart }) => {
    const found = await findOtherFrames(signatures(original), ordered(copied, order), { isInert: false });
    expect(found.apart).toEqual(apart);
    expect(found).toMatchObject({ frames: FRAMES, doubtful: [], alike: 0 });
  });

  it('finds a black frame, and that it is none of the original', async () => {
    const black = copied.map((frame, index) => (index === 12 ? new Float64Array(VALUES) : frame));
    const found = await findOtherFrames(signatures(original), signatures(black), { isInert: false });
    expect(found.apart).toEqual([{ from: 12, to: 13, shows: null }]);
  });

  it('doubts a frame of which a part is another', async () => {
    const part = copied.map((frame, index) =>
      index === 12 ? frame.map((value, i) => (i < 4 ? value + 0.12 : value)) : frame,
    );
    const found = await findOtherFrames(signatures(original), signatures(part), { isInert: false });
    const all = [...found.apart.filter(({ shows }) => shows === null), ...found.doubtful];
    expect(all.map(({ from, to }) => [from, to])).toEqual([[12, 13]]);
  });
});

it('identical frames may stand in any order, and are counted', async () => {
  const still = moving().map((_, index, frames) => frames[index < 40 ? 0 : index] ?? new Float64Array(0));
  const mixed = ALL.map((frame) => (frame < 40 ? 39 - frame : frame));
  const found = await findOtherFrames(signatures(still), ordered(still, mixed), { isInert: false });
  expect(found).toMatchObject({ apart: [], doubtful: [], alike: 40 });
});

it('a coder that keeps parts of the frames before is not accused of repeating them', async () => {
  const slow = moving(FRAMES, { pace: 0.004 });
  const lazy = ALL.map((frame) => frame - (frame % 4));
  const of = signatures(slow);
  expect((await findOtherFrames(of, ordered(slow, lazy), { isInert: true })).apart).toEqual([]);
  expect((await findOtherFrames(of, ordered(slow, lazy), { isInert: false })).apart).not.toEqual([]);
});

it('frames that were repeated or left out to even the rate are where they are expected', async () => {
  const frames = moving();
  const twice = ALL.map((frame) => Math.floor(frame / 2));
  const options = { isInert: false, expected: (frame: number) => [twice[frame] ?? 0] };
  expect((await findOtherFrames(signatures(frames), ordered(frames, twice), options)).apart).toEqual([]);
  const late = twice.map((frame, index) => (index === 33 ? frame - 4 : frame));
  expect((await findOtherFrames(signatures(frames), ordered(frames, late), options)).apart).toEqual([
    { from: 33, to: 34, shows: 12 },
  ]);
});

describe('a rendered copy, by levels of the same rank', () => {
  const original = moving(FRAMES + 1);
  const render = (level: number): number => 0.1 + 0.9 * level ** 0.6;
  const rendered = original.map((frame) => frame.map(render));

  it.each(FOUND)('finds $what', async ({ order, apart }) => {
    const copy = ordered(rendered, order);
    const found = await findOtherFrames(matchTones(signatures(original), copy), copy, { isInert: false });
    expect(found.apart).toEqual(apart);
  });
});
