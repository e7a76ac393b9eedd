import { expect, it } from 'vitest';
import { secondsLeft, type TimedClip } from '../../../cli/run/estimate-end.js';

const clip = (state: string, planned: number, more: Partial<TimedClip> = {}): TimedClip => ({
  ...{ state, planned, took: null, fraction: null },
  ...more,
});
const done = (planned: number, took: number): TimedClip => clip('completed', planned, { took });

it('goes by how long the done ones took, and by how many are in hand', () => {
  const clips = [done(10, 20), done(30, 60), clip('active', 40, { fraction: 0.5 }), clip('active', 20)];
  // Twice as long as planned: 20 + 20 planned seconds in hand and 60 that wait, on two.
  expect(secondsLeft([...clips, clip('waiting', 60)])).toBe(120);
  expect(secondsLeft([...clips, clip('waiting', 20), clip('waiting', 40)])).toBe(100);
});

it('is no shorter than the longest clip that is left', () => {
  expect(secondsLeft([done(10, 10), clip('active', 10), clip('active', 90)])).toBe(90);
});

it('tells nothing while none is done, none in hand, or all was there', () => {
  expect(secondsLeft([clip('active', 10), clip('waiting', 10)])).toBeNull();
  expect(secondsLeft([done(10, 10), clip('waiting', 10)])).toBeNull();
  expect(secondsLeft([clip('completed', 10), clip('active', 10)])).toBeNull();
});

it('clips that failed or were cancelled are no work any more', () => {
  expect(secondsLeft([done(10, 10), clip('active', 10), clip('failed', 99), clip('cancelled', 99)])).toBe(10);
});
