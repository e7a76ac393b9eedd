import type { Change } from '../measured.js';
import { describeRows } from '../rows.js';
import { MIDDLE, places, type Span, temporal, without } from './measured-temporal.js';

const black = (spans: readonly Span[], unlisted = 0): Change =>
  temporal({ black: { level: 0.105, area: 0.9, ...places({}, spans, unlisted) } });

describeRows('black-frames', [
  ['none', {}, temporal(), 'pass'],
  ['one frame in the middle', {}, black([[100, 101]]), 'fail'],
  ['as long as allowed', { maxFrames: 50 }, black([[100, 150]]), 'pass'],
  ['a frame longer', { maxFrames: 50 }, black([[100, 151]]), 'fail'],
  [
    'at head and tail',
    {},
    black([
      [0, 50],
      [200, 250],
    ]),
    'pass',
  ],
  ['at the head, which is not allowed', { allowAtEnds: false }, black([[0, 1]]), 'fail'],
  ['all of the programme', {}, black([[0, 250]]), 'fail'],
  ['only the longest known, all at the ends', {}, black([[0, 50]], 3), 'unmeasured'],
  ['only the longest known, one of them inside', {}, black([[60, 70]], 3), 'fail'],
  [
    'outside the region',
    MIDDLE,
    black([
      [99, 100],
      [150, 160],
    ]),
    'pass',
  ],
  ['as much of it as lies in the region', { ...MIDDLE, maxFrames: 5 }, black([[80, 105]]), 'pass'],
  ['inside the region', MIDDLE, black([[149, 160]]), 'fail'],
  ...without({}),
]);
