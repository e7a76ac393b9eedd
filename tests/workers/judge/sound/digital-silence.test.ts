import { describeRows } from '../rows.js';
import { content, quiet } from './contents.js';

describeRows('digital-silence', [
  ['quiet, but not zero', {}, content(quiet(-80, [1, 9])), 'pass'],
  ['as long as allowed', {}, content(quiet(null, [1, 2])), 'pass'],
  ['longer', {}, content(quiet(null, [1, 2.001])), 'fail'],
  ['samples not known', {}, content(null), 'unmeasured'],
  ['inside the region', { regions: [{ from: 0, to: 50 }] }, content(quiet(null, [0, 2])), 'fail'],
]);
