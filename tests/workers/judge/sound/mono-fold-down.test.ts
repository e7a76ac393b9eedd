import { CONTENT, PAIR } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content, monos, unlabelled } from './contents.js';

describeRows('mono-fold-down', [
  [
    'unrelated',
    { maxLoss: 3.02 },
    content({ ...CONTENT, pairs: [{ ...PAIR, foldDownLossDb: 3.01 }] }),
    'pass',
  ],
  ['over', { maxLoss: 3 }, content({ ...CONTENT, pairs: [{ ...PAIR, foldDownLossDb: 3.01 }] }), 'fail'],
  ['silence', { maxLoss: 3 }, content({ ...CONTENT, pairs: [{ ...PAIR, foldDownLossDb: null }] }), 'pass'],
  ['several mono streams', { maxLoss: 3 }, monos, 'unmeasured'],
  ['layout not stated', { maxLoss: 3 }, unlabelled, 'unmeasured'],
  ['samples not known', { maxLoss: 3 }, content(null), 'unmeasured'],
]);
