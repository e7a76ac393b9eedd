import { noSound, note, sound } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('max-short-term', [
  ['at the limit', { max: -18 }, sound({ maxShortTermLufs: -18 }), 'pass'],
  ['just over', { max: -18 }, sound({ maxShortTermLufs: -17.99 }), 'fail'],
  ['no window', { max: -18 }, sound({ maxShortTermLufs: null, durationSeconds: 2.9 }), 'unmeasured'],
  ['the second stream counts too', { max: -18 }, sound({}, { maxShortTermLufs: -10 }), 'fail'],
  ['doubted', { max: -18 }, note('audio[0].maxShortTermLufs'), 'unmeasured'],
  ['another figure doubted', { max: -18 }, note('audio[0].loudnessRange'), 'pass'],
  ['no sound', { max: -18 }, noSound, 'fail'],
]);
