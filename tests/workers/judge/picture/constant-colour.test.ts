import type { Change } from '../measured.js';
import { describeRows } from '../rows.js';
import { MIDDLE, places, type Span, temporal, without } from './measured-temporal.js';

const colour = (spread: number, spans: readonly Span[]): Change =>
  temporal({
    constantColour: {
      level: 0.105,
      area: 0.9,
      ...places({ spread, widestSpread: spread, colour: [0.4, 0, 0] }, spans),
    },
  });

describeRows('constant-colour', [
  ['none', {}, temporal(), 'pass'],
  ['one frame', {}, colour(0, [[30, 31]]), 'fail'],
  ['as many as allowed', { maxFrames: 2 }, colour(0, [[30, 32]]), 'pass'],
  ['one more', { maxFrames: 2 }, colour(0, [[30, 33]]), 'fail'],
  ['as flat as asked for', {}, colour(0.03, [[30, 31]]), 'fail'],
  ['less flat', {}, colour(0.031, [[30, 31]]), 'pass'],
  ['wider than is told', { tolerance: 0.11 }, temporal(), 'unmeasured'],
  ['outside the region', MIDDLE, colour(0, [[30, 31]]), 'pass'],
  ...without({}),
]);
