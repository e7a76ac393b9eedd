import { none } from '../changes.js';
import { noSound, note, sound } from '../measured.js';
import { describeRows } from '../rows.js';
import { monos } from './contents.js';

describeRows('loudness-range', [
  ['at the limit', { max: 15 }, sound({ loudnessRange: 15, durationSeconds: 60 }), 'pass'],
  ['just over', { max: 15 }, sound({ loudnessRange: 15.01, durationSeconds: 60 }), 'fail'],
  ['just under', { min: 4, max: 15 }, sound({ loudnessRange: 3.99, durationSeconds: 60 }), 'fail'],
  ['inside, but of a short programme', { max: 15 }, sound({ durationSeconds: 59 }), 'warn'],
  ['over, of a short programme', { max: 4 }, none, 'fail'],
  ['nothing above the gate', { max: 15 }, sound({ loudnessRange: null }), 'unmeasured'],
  ['part of a programme', { max: 15 }, monos, 'unmeasured'],
  ['doubted', { max: 15 }, note('audio[0]'), 'unmeasured'],
  ['no sound', { max: 15 }, noSound, 'fail'],
]);
