import { levels, none } from '../changes.js';
import { noLevels, note, noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('reserved-codes', [
  ['none', {}, none, 'pass'],
  ['one sample', {}, levels({ reservedCodes: { samples: 1, firstFrame: 7 } }), 'fail'],
  ['no levels', {}, noLevels, 'unmeasured'],
  ['doubted', {}, note('levels.reservedCodes'), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
