import { range } from '../changes.js';
import type { Change } from '../measured.js';
import { describeRows } from '../rows.js';
import { MIDDLE, places, type Span, temporal, without } from './measured-temporal.js';

const repeats = (single: readonly Span[], lost: readonly Span[] = [], steady: readonly Span[] = []): Change =>
  temporal({
    duplicate: {
      ...places({}, single),
      regular: {
        frames: steady.length * 5,
        ranges: steady.map(([from, to]) => ({ ...range(from, to), every: 5 })),
      },
    },
    missingMotion: places({}, lost),
  });

describeRows('duplicate-frames', [
  ['none', {}, temporal(), 'pass'],
  ['one repeated', {}, repeats([[30, 31]]), 'fail'],
  ['one lost', {}, repeats([], [[30, 31]]), 'fail'],
  ['as many as allowed', { maxFrames: 3 }, repeats([[30, 32]], [[60, 61]]), 'pass'],
  ['one more', { maxFrames: 3 }, repeats([[30, 32]], [[60, 62]]), 'fail'],
  ['in step', { maxFrames: 9 }, repeats([], [], [[0, 100]]), 'fail'],
  ['in step, which is allowed', { regular: true }, repeats([], [], [[0, 100]]), 'pass'],
  ['outside the region', MIDDLE, repeats([[30, 31]], [[150, 151]], [[0, 100]]), 'pass'],
  ['inside the region', MIDDLE, repeats([[100, 101]]), 'fail'],
  ...without({}),
]);
