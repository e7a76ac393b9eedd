import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('frame-rate', [
  ['exact', { is: ['25'] }, none, 'pass'],
  ['one of several', { is: ['24/1', '25/1'] }, none, 'pass'],
  ['29.97 is not 30', { is: ['30/1'] }, video({ frameRate: '30000/1001' }), 'fail'],
  ['2997/100 is not 30000/1001', { is: ['30000/1001'] }, video({ frameRate: '2997/100' }), 'fail'],
  ['not stated', { is: ['25'] }, video({ frameRate: null }), 'unmeasured'],
  ['no picture', { is: ['25'] }, noVideo, 'fail'],
]);
