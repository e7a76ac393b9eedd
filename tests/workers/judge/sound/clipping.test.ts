import { none } from '../changes.js';
import { bothChannels, rightChannel } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content } from './contents.js';

const clips = (runs: number) => ({
  clipping: { runs, samples: 3 * runs, longest: 3, places: [{ from: 48_000, to: 48_003, runs }] },
});

describeRows('clipping', [
  ['none', {}, none, 'pass'],
  ['one run', {}, content(rightChannel(clips(1))), 'fail'],
  ['as many as allowed', { maxRuns: 2 }, content(bothChannels(clips(1))), 'pass'],
  ['one more', { maxRuns: 1 }, content(bothChannels(clips(1))), 'fail'],
  ['samples not known', {}, content(null), 'unmeasured'],
  ['inside the region', { regions: [{ from: 0, to: 50 }] }, content(rightChannel(clips(1))), 'fail'],
  ['outside the region', { regions: [{ from: 50, to: 99 }] }, content(rightChannel(clips(1))), 'pass'],
  [
    'over the edge of the region',
    { regions: [{ from: 0, to: 26 }] },
    content(
      rightChannel({
        clipping: { runs: 9, samples: 30, longest: 4, places: [{ from: 48_000, to: 96_000, runs: 9 }] },
      }),
    ),
    'unmeasured',
  ],
  [
    'places that were not kept, and the region',
    { regions: [{ from: 100, to: 200 }] },
    content(rightChannel({ clipping: { ...clips(1).clipping, runs: 500 } })),
    'unmeasured',
  ],
]);
