import { none } from '../changes.js';
import { noSound, sound } from '../measured.js';
import { CONTENT, quietAt, rightChannel } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content, manyRuns, quiet } from './contents.js';

describeRows('silence', [
  ['none', {}, none, 'pass'],
  ['as long as allowed', {}, content(quiet(-60, [1, 3])), 'pass'],
  ['a millisecond longer', {}, content(quiet(-60, [1, 3.001])), 'fail'],
  ['another level does not count', { below: -40 }, content(quiet(-60, [1, 9])), 'pass'],
  ['more runs than were kept', {}, content(manyRuns()), 'fail'],
  ['one channel alone', {}, content(rightChannel({ quiet: quietAt(-60, [1, 9]) })), 'pass'],
  [
    'one channel alone, where each counts',
    { of: 'channel' },
    content(rightChannel({ quiet: quietAt(-60, [1, 9]) })),
    'fail',
  ],
  [
    'low-frequency effects',
    { of: 'channel' },
    content(rightChannel({ speaker: 'LFE', quiet: quietAt(-60, [1, 9]) })),
    'pass',
  ],
  ['samples not known', {}, content(null), 'unmeasured'],
  ['not one sample', {}, sound({ samples: 0 }), 'unmeasured'],
  ['no sound', {}, noSound, 'fail'],
  ['outside the region', { regions: [{ from: 100, to: 200 }] }, content(quiet(-60, [0, 4.1])), 'pass'],
  [
    'too much of it inside the region',
    { regions: [{ from: 100, to: 200 }] },
    content(quiet(-60, [0, 6.1])),
    'fail',
  ],
  [
    'more than are known inside the region',
    { regions: [{ from: 200, to: 250 }] },
    content({ ...CONTENT, quiet: manyRuns().quiet.map((l) => ({ ...l, longest: l.longest.slice(3) })) }),
    'unmeasured',
  ],
]);
