import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('constant-rate', [
  ['constant', {}, none, 'pass'],
  ['not constant', {}, video({ constantRate: false }), 'fail'],
  ['not known', {}, video({ constantRate: null }), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
