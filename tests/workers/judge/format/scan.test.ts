import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('scan', [
  ['as wanted', { is: ['progressive'] }, none, 'pass'],
  ['the other field first', { is: ['interlaced-tff'] }, video({ scan: 'interlaced-bff' }), 'fail'],
  ['not stated', { is: ['progressive'] }, video({ scan: null }), 'unmeasured'],
  ['no picture', { is: ['progressive'] }, noVideo, 'fail'],
]);
