import { none } from '../changes.js';
import { CONTENT, PAIR } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content, monos, unlabelled } from './contents.js';

describeRows('identical-channels', [
  ['different', {}, none, 'pass'],
  ['the same', {}, content({ ...CONTENT, identical: [{ first: 0, second: 1 }] }), 'fail'],
  [
    'nearly the same, which is not asked',
    {},
    content({ ...CONTENT, pairs: [{ ...PAIR, sideToMidDb: -80 }] }),
    'pass',
  ],
  [
    'nearly the same',
    { sideBelow: -60 },
    content({ ...CONTENT, pairs: [{ ...PAIR, sideToMidDb: -60.1 }] }),
    'fail',
  ],
  [
    'not so nearly',
    { sideBelow: -60 },
    content({ ...CONTENT, pairs: [{ ...PAIR, sideToMidDb: -60 }] }),
    'pass',
  ],
  ['nearly, and layout not stated', { sideBelow: -60 }, unlabelled, 'unmeasured'],
  ['several mono streams', {}, monos, 'unmeasured'],
  ['samples not known', {}, content(null), 'unmeasured'],
]);
