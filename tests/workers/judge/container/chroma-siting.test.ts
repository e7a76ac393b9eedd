import { layer, none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('chroma-siting', [
  ['4:2:2 has no choice', { is: ['topleft'] }, none, 'pass'],
  ['as asked', { is: ['left'] }, video((v) => Object.assign(v.chroma, { declared: '4:2:0' })), 'pass'],
  ['another', { is: ['topleft'] }, video((v) => Object.assign(v.chroma, { declared: '4:2:0' })), 'fail'],
  [
    'layers differ',
    { is: ['left'] },
    (m) => {
      video((v) => Object.assign(v.chroma, { declared: '4:2:0' }))(m);
      layer('container', { chromaSiting: 'topleft' })(m);
    },
    'fail',
  ],
  [
    'not stated',
    { is: ['left'] },
    (m) => {
      video((v) => Object.assign(v.chroma, { declared: '4:2:0' }))(m);
      m.layers = { container: null, bitstream: null };
    },
    'unmeasured',
  ],
  ['no picture', { is: ['left'] }, noVideo, 'fail'],
]);
