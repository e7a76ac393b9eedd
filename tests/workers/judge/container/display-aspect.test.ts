import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('display-aspect', [
  ['16:9', { is: '16/9' }, none, 'pass'],
  ['4:3 where 16:9 is', { is: '4/3' }, none, 'fail'],
  // 720 x 64/45 / 576 = 16/9 exactly.
  ['wide samples', { is: '16/9' }, video({ width: 720, height: 576, sampleAspect: '64/45' }), 'pass'],
  // 720 x 16/11 / 576 = 1.8182, 2.27 % wider than 16/9.
  [
    'wide samples of the clean aperture',
    { is: '16/9' },
    video({ width: 720, height: 576, sampleAspect: '16/11' }),
    'fail',
  ],
  [
    'the same with tolerance',
    { is: '16/9', tolerance: 0.0228 },
    video({ width: 720, height: 576, sampleAspect: '16/11' }),
    'pass',
  ],
  [
    'and just too little of it',
    { is: '16/9', tolerance: 0.0227 },
    video({ width: 720, height: 576, sampleAspect: '16/11' }),
    'fail',
  ],
  ['turned', { is: '9/16' }, video({ rotation: 90 }), 'pass'],
  ['not stated', { is: '16/9' }, video({ sampleAspect: null }), 'unmeasured'],
  ['no picture', { is: '16/9' }, noVideo, 'fail'],
]);
