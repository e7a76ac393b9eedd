import type { Change } from '../measured.js';
import { describeRows } from '../rows.js';
import { MIDDLE, places, type Span, temporal, tooDark, without } from './measured-temporal.js';

const blank = (lines: number, spans: readonly Span[]): Change =>
  temporal({ blankEdge: places({ side: 'left', lines }, spans) });

describeRows('blank-edges', [
  ['none', {}, temporal(), 'pass'],
  ['one column', {}, blank(1, [[0, 250]]), 'fail'],
  ['as many as allowed', { maxLines: 2 }, blank(2, [[0, 250]]), 'pass'],
  ['one more', { maxLines: 2 }, blank(3, [[0, 250]]), 'fail'],
  ['outside the region', MIDDLE, blank(1, [[0, 100]]), 'pass'],
  ['inside the region', MIDDLE, blank(1, [[0, 101]]), 'fail'],
  ['too dark to tell', {}, tooDark, 'unmeasured'],
  ...without({}),
]);
