import { describe, expect, it } from 'vitest';
import { range } from './changes.js';
import { type Change, noVideo } from './measured.js';
import { findingOf } from './rows.js';

describe('a format that changes within the file', () => {
  const change: Change = (m) =>
    m.events.push({ kind: 'format-change', ...range(100, 250), detail: '1280 x 720' });
  it.each([
    ['raster', { width: 1920, height: 1080 }],
    ['bit-depth', { declared: 10 }],
    ['chroma', { declared: ['4:2:2'] }],
    ['display-aspect', { is: '16/9' }],
  ] as const)('misses %s although the first frames fit', (name, limits) => {
    expect(findingOf(name, limits, change)).toMatchObject({
      outcome: 'fail',
      measured: 'changes within the file: 1280 x 720',
      at: [{ from: 100, to: 250 }],
      advice: 'Make the file again in one format.',
    });
  });
});

it('a file without a picture misses what a target requires of it, and says what to do', () => {
  expect(findingOf('scan', { is: ['progressive'] }, noVideo)).toMatchObject({
    outcome: 'fail',
    measured: 'the file has no picture',
    advice: 'Deliver a file with a picture, or use a target for sound.',
  });
});
