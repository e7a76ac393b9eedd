import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('sample-aspect', [
  ['square', {}, none, 'pass'],
  ['the same in other numbers', { is: '2/2' }, none, 'pass'],
  ['not square', {}, video({ sampleAspect: '16/15' }), 'fail'],
  ['not stated', {}, video({ sampleAspect: null }), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
