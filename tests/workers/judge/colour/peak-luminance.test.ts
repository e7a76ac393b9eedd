import { luminance, none } from '../changes.js';
import { noLuminance, note } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('peak-luminance', [
  ['at the limit', { max: 1000 }, none, 'pass'],
  // PQ code 723 (10 bits, narrow) shows as 1004.19 cd/m2 (calc, published-values.md A1): the nearest code to
  // 1000.
  ['at the code of the limit', { max: 1000 }, luminance({ maxCll: 1004.19 }), 'pass'],
  // Code 724 shows as about 1014 cd/m2 (calc).
  ['one code over', { max: 1000 }, luminance({ maxCll: 1013.8 }), 'fail'],
  ['half a code over', { max: 1000 }, luminance({ maxCll: 1004.3 }), 'fail'],
  ['no luminance', { max: 1000 }, noLuminance, 'unmeasured'],
  ['doubted', { max: 1000 }, note('luminance'), 'unmeasured'],
]);
