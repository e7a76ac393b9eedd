import { expect, it } from 'vitest';
import { cameIn, cameInText, whollyRefused } from '../../../jobs/plan/came-in.js';

const ALL = {
  clips: ['a.mov', 'b.#.dpx'],
  // One output of a clip that has others, and all of another clip.
  refused: [{ clip: 'a.mov' }, { clip: 'c.mov' }, { clip: 'c.mov' }],
  unreadable: [{ file: 'd.mov' }],
  skipped: [{ clip: 'e.mov' }],
  soundApart: [{ file: 's.wav' }],
};

it('each clip counts once, whatever came of it; sound and what is skipped count by themselves', () => {
  expect(whollyRefused(ALL)).toEqual(['c.mov']);
  expect(cameIn(ALL)).toEqual({ clips: 4, unreadable: 1, soundApart: 1, skipped: 1 });
  expect(cameInText(cameIn(ALL))).toBe(
    '4 clips came in (1 unreadable), 1 file of sound recorded apart, 1 skipped',
  );
});

it('sound that was asked for like a clip and refused is told once', () => {
  const only = { ...ALL, clips: [], unreadable: [], skipped: [], refused: [{ clip: 's.wav' }] };
  expect(cameInText(cameIn(only))).toBe('1 clip came in');
});
