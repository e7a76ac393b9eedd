import { expect, it } from 'vitest';
import { none } from '../changes.js';
import { noSound, note, sound } from '../measured.js';
import { describeRows, findingOf } from '../rows.js';

describeRows('true-peak', [
  ['at the limit', { max: -1 }, sound({ truePeakDbtp: -1 }), 'pass'],
  ['just over', { max: -1 }, sound({ truePeakDbtp: -0.99 }), 'fail'],
  ['the second stream counts too', { max: -1 }, sound({}, { truePeakDbtp: 0 }), 'fail'],
  ['digital silence', { max: -1 }, sound({ truePeakDbtp: null }), 'pass'],
  ['no samples', { max: -1 }, sound({ truePeakDbtp: null, samples: 0 }), 'unmeasured'],
  ['doubted', { max: -1 }, note('audio'), 'unmeasured'],
  ['no sound', { max: -1 }, noSound, 'fail'],
]);

it('names the edition of the standard', () => {
  expect(findingOf('true-peak', { max: -1 }, none).expected).toContain('BS.1770-5');
});
