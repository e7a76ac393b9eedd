import { none } from '../changes.js';
import { rightChannel } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content } from './contents.js';

describeRows('dc-offset', [
  ['small', {}, none, 'pass'],
  ['at the limit', {}, content(rightChannel({ dcOffset: -0.001 })), 'pass'],
  ['over, below zero', {}, content(rightChannel({ dcOffset: -0.00101 })), 'fail'],
  ['samples not known', {}, content(null), 'unmeasured'],
]);
