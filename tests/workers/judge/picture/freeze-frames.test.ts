import { both, noRate, uneven } from '../changes.js';
import type { Change } from '../measured.js';
import { describeRows } from '../rows.js';
import { MIDDLE, places, type Span, temporal, without } from './measured-temporal.js';

const freeze = (spans: readonly Span[], unlisted = 0): Change =>
  temporal({ freeze: { db: -60, leastFrames: 13, ...places({ identical: true }, spans, unlisted) } });

describeRows('freeze-frames', [
  ['none', {}, temporal(), 'pass'],
  // 2 s at 25 frames/s are 50 frames.
  ['49 frames', {}, freeze([[20, 69]]), 'pass'],
  ['50 frames', {}, freeze([[20, 70]]), 'fail'],
  ['the shortest that is told: 13 frames', { seconds: 0.52 }, freeze([[20, 33]]), 'fail'],
  ['a time too short to be told', { seconds: 0.48 }, temporal(), 'unmeasured'],
  ['no rate to count by', {}, both(temporal(), noRate), 'unmeasured'],
  ['none, frames of uneven duration', {}, both(temporal(), uneven), 'unmeasured'],
  ['too many to know each', {}, freeze([[20, 40]], 1), 'unmeasured'],
  ['as much of it as lies in the region', MIDDLE, freeze([[60, 140]]), 'pass'],
  ['all of the region', MIDDLE, freeze([[60, 160]]), 'fail'],
  ...without({}),
]);
