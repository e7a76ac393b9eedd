import { noSound, note, sound } from '../measured.js';
import { describeRows } from '../rows.js';
import { unlabelled } from './contents.js';

describeRows('max-momentary', [
  ['at the limit', { max: -15 }, sound({ maxMomentaryLufs: -15 }), 'pass'],
  ['just over', { max: -15 }, sound({ maxMomentaryLufs: -14.99 }), 'fail'],
  ['inside the tolerance', { max: -15, tolerance: 0.1 }, sound({ maxMomentaryLufs: -14.9 }), 'pass'],
  ['outside it', { max: -15, tolerance: 0.1 }, sound({ maxMomentaryLufs: -14.89 }), 'fail'],
  ['silence', { max: -15 }, sound({ maxMomentaryLufs: null }), 'pass'],
  ['no window', { max: -15 }, sound({ maxMomentaryLufs: null, durationSeconds: 0.3 }), 'unmeasured'],
  ['layout not stated', { max: -15 }, unlabelled, 'unmeasured'],
  ['doubted', { max: -15 }, note('audio[0].maxMomentaryLufs'), 'unmeasured'],
  ['another figure doubted', { max: -15 }, note('audio[0].loudnessRange'), 'pass'],
  ['no sound', { max: -15 }, noSound, 'fail'],
]);
