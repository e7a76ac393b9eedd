import { layer, noLayer, none } from '../changes.js';
import { noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('aspect-layers', [
  ['agree', {}, none, 'pass'],
  ['agree in other numbers', {}, layer('container', { sampleAspect: '2/2' }), 'pass'],
  ['differ', {}, layer('container', { sampleAspect: '16/15' }), 'fail'],
  ['one silent', {}, layer('bitstream', { sampleAspect: null }), 'unmeasured'],
  ['one silent, no proof asked for', { proof: false }, layer('bitstream', { sampleAspect: null }), 'pass'],
  ['one not read', {}, noLayer('container'), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
