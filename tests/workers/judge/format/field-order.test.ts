import { both } from '../changes.js';
import { note, noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';
import { fields, interlaced, progressive, still } from './measured-fields.js';

const top = fields({ scan: 'interlaced-tff' });
const bottom = fields({ scan: 'interlaced-bff' });
const reversed = fields({
  scan: 'interlaced-tff',
  segments: [
    ['interlaced-tff', 0, 100],
    ['interlaced-bff', 100, 120],
    ['interlaced-tff', 120, 250],
  ],
});

describeRows('field-order', [
  ['as stated', {}, progressive, 'pass'],
  ['as stated, top first', {}, interlaced(top), 'pass'],
  ['as asked for', { is: ['interlaced-tff'] }, top, 'pass'],
  ['interlaced, stated progressive', {}, top, 'fail'],
  ['the other field first', {}, interlaced(bottom), 'fail'],
  ['the other field first in a part', {}, interlaced(reversed), 'fail'],
  ['in a part that is not judged', { regions: [{ from: 120, to: 200 }] }, interlaced(reversed), 'pass'],
  ['in a part that is judged', { regions: [{ from: 110, to: 115 }] }, interlaced(reversed), 'fail'],
  ['progressive in an interlaced file', {}, interlaced(progressive), 'pass'],
  [
    'progressive, where segmented frames are not wanted',
    { segmented: false },
    interlaced(progressive),
    'fail',
  ],
  ['one combed frame', {}, fields({ scan: 'progressive', combed: [[30, 31]] }), 'fail'],
  [
    'combed frames that are let pass',
    { maxCombedFrames: 2 },
    fields({ scan: 'progressive', combed: [[30, 32]] }),
    'pass',
  ],
  ['one more', { maxCombedFrames: 2 }, fields({ scan: 'progressive', combed: [[30, 33]] }), 'fail'],
  ['too still', {}, still, 'unmeasured'],
  ['too still, no proof asked for', { proof: false }, still, 'pass'],
  [
    'perhaps the other field first',
    {},
    interlaced(fields({ scan: 'interlaced-bff', confidence: 'low' })),
    'warn',
  ],
  ['perhaps as stated', {}, fields({ scan: 'progressive', confidence: 'low' }), 'unmeasured'],
  [
    'perhaps as stated, no proof asked for',
    { proof: false },
    fields({ scan: 'progressive', confidence: 'low' }),
    'pass',
  ],
  ['more segments than are listed', {}, fields({ scan: 'progressive', unlisted: 1 }), 'unmeasured'],
  ['no scan stated', {}, both(progressive, video({ scan: null })), 'unmeasured'],
  ['not measured', {}, () => {}, 'unmeasured'],
  ['doubted', {}, both(progressive, note('fields')), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
