import { both, range, uneven } from '../changes.js';
import type { Change } from '../measured.js';
import { describeRows } from '../rows.js';
import { MIDDLE, places, type Span, temporal, without } from './measured-temporal.js';

const shots = (spans: readonly Span[], unclear: readonly Span[] = []): Change =>
  temporal({
    shortShot: {
      below: 12,
      ...places({}, spans),
      cuts: 4,
      unclear: { places: unclear.length, ranges: unclear.map(([from, to]) => range(from, to)) },
    },
  });

describeRows('short-shots', [
  ['none', {}, temporal(), 'pass'],
  ['of 2 frames', {}, shots([[30, 32]]), 'fail'],
  ['of 2 frames of uneven duration', {}, both(shots([[30, 32]]), uneven), 'unmeasured'],
  ['none, frames of uneven duration', {}, both(temporal(), uneven), 'pass'],
  ['of 3 frames', {}, shots([[30, 33]]), 'pass'],
  ['of 11 where 12 are asked for', { minFrames: 12 }, shots([[30, 41]]), 'fail'],
  ['more is asked for than is told', { minFrames: 13 }, temporal(), 'unmeasured'],
  ['movement too fast to tell', {}, shots([], [[30, 36]]), 'warn'],
  ['of 2 frames, beside such movement', {}, shots([[60, 62]], [[30, 36]]), 'fail'],
  ['outside the region', MIDDLE, shots([[30, 32]], [[200, 206]]), 'pass'],
  ['short, and only partly in the region', MIDDLE, shots([[99, 101]]), 'fail'],
  ['long enough, and only partly in the region', MIDDLE, shots([[97, 101]]), 'pass'],
  ...without({}),
]);
