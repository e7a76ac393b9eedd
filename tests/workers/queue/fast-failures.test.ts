import { expect, it } from 'vitest';
import { FastFailures } from '../../../workers/queue/fast-failures.js';
import type { JobEnd } from '../../../workers/queue/take-jobs.js';

const AGAIN: JobEnd = { is: 'again', why: 'ffmpeg-failed: no memory' };
const DONE: JobEnd = { is: 'done', value: {} };

function watch() {
  let now = 0;
  const failures = new FastFailures({ error: () => undefined }, () => now);
  return {
    failures,
    pass: (minutes: number) => {
      now += minutes * 60_000;
    },
  };
}

it('three clips in a row that fail at once send the worker aside for five minutes, with a sentence', () => {
  const { failures, pass } = watch();
  for (const clip of ['a', 'b']) failures.count(clip, AGAIN, 1);
  expect(failures.aside).toBeNull();
  failures.count('c', AGAIN, 1);
  expect(failures.aside).toBe(
    '3 clips in a row failed at once, the last with ffmpeg-failed: no memory: no clip is taken for 5 minutes',
  );
  pass(4.9);
  expect(failures.aside).not.toBeNull();
  pass(0.2);
  expect(failures.aside).toBeNull();
});

it('clips that failed at once and were left to another worker count too, those never begun do not', () => {
  const { failures } = watch();
  const cannot: JobEnd = { is: 'cannot', why: 'not mounted' };
  for (const clip of ['a', 'b', 'c', 'd']) failures.count(clip, cannot, 0);
  expect(failures.aside).toBeNull();
  for (const clip of ['a', 'b', 'c']) failures.count(clip, { ...cannot, hasFailed: true }, 1);
  expect(failures.aside).toContain('3 clips in a row failed at once');
});

it.each<[string, [string, JobEnd, number][]]>([
  [
    'the same clip again',
    [
      ['a', AGAIN, 1],
      ['a', AGAIN, 1],
      ['a', AGAIN, 1],
      ['a', AGAIN, 1],
    ],
  ],
  [
    'one that was done between',
    [
      ['a', AGAIN, 1],
      ['b', AGAIN, 1],
      ['x', DONE, 9],
      ['c', AGAIN, 1],
    ],
  ],
  [
    'failures that took their time',
    [
      ['a', AGAIN, 21],
      ['b', AGAIN, 300],
      ['c', AGAIN, 60],
    ],
  ],
  [
    'clips that are wrong themselves',
    ['a', 'b', 'c', 'd'].map((clip) => [clip, { is: 'failed', why: 'unreadable-clip' }, 1]),
  ],
  ['clips that were interrupted', ['a', 'b', 'c'].map((clip) => [clip, { is: 'back' }, 1])],
])('not by %s', (_, ends) => {
  const { failures } = watch();
  for (const [clip, end, seconds] of ends) failures.count(clip, end, seconds);
  expect(failures.aside).toBeNull();
});
