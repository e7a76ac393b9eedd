import { describe, expect, it } from 'vitest';
import { range } from './changes.js';
import type { Change } from './measured.js';
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
      at: [{ from: 100, to: 250 }],
    });
  });
});
