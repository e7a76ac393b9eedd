import { both } from '../changes.js';
import { note, noVideo } from '../measured.js';
import { describeRows } from '../rows.js';
import { fields, progressive, still } from './measured-fields.js';

describeRows('cadence', [
  ['none', {}, progressive, 'pass'],
  ['pulldown left in', {}, fields({ scan: 'interlaced-tff', cadence: '2:3' }), 'fail'],
  ['frames repeated in step', {}, fields({ scan: 'progressive', cadence: 'repeat-1-in-25' }), 'fail'],
  ['pulldown that is asked for', { is: ['2:3'] }, fields({ scan: 'interlaced-tff', cadence: '2:3' }), 'pass'],
  ['broken once', { is: ['2:3'] }, fields({ scan: 'interlaced-tff', cadence: '2:3', breaks: [99] }), 'fail'],
  [
    'broken as often as is let pass',
    { is: ['2:3'], maxBreaks: 1 },
    fields({ scan: 'interlaced-tff', cadence: '2:3', breaks: [99] }),
    'pass',
  ],
  [
    'pulldown in a part',
    {},
    fields({
      scan: 'progressive',
      cadences: [
        ['none', 0, 200],
        ['2:3', 200, 250],
      ],
    }),
    'fail',
  ],
  [
    'pulldown in a part that is not judged',
    { regions: [{ to: 200 }] },
    fields({
      scan: 'progressive',
      cadences: [
        ['none', 0, 200],
        ['2:3', 200, 250],
      ],
    }),
    'pass',
  ],
  ['perhaps pulldown', {}, fields({ scan: null, confidence: 'low', cadence: '2:3' }), 'warn'],
  ['too still', {}, still, 'unmeasured'],
  ['too still, no proof asked for', { proof: false }, still, 'pass'],
  ['more segments than are listed', {}, fields({ scan: 'progressive', unlisted: 1 }), 'unmeasured'],
  ['not measured', {}, () => {}, 'unmeasured'],
  ['doubted', {}, both(progressive, note('fields.cadence')), 'pass'],
  ['all of it doubted', {}, both(progressive, note('fields')), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
