import { layer, none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('scan', [
  ['as wanted', { is: ['progressive'] }, none, 'pass'],
  ['the other field first', { is: ['interlaced-tff'] }, video({ scan: 'interlaced-bff' }), 'fail'],
  ['not stated', { is: ['progressive'] }, video({ scan: null }), 'unmeasured'],
  [
    'container and frames of fields that differ in order',
    { is: ['interlaced-tff'] },
    (m) => {
      video({ scan: 'interlaced-tff' })(m);
      layer('container', { scan: 'interlaced-tff' })(m);
      layer('bitstream', { scan: 'interlaced-bff' })(m);
    },
    'unmeasured',
  ],
  [
    'fields in the container alone, of a picture that moves as progressive',
    { is: ['progressive'] },
    layer('container', { scan: 'interlaced-tff' }),
    'unmeasured',
  ],
  [
    'a container read as progressive for want of a word',
    { is: ['interlaced-tff'] },
    (m) => {
      video({ scan: 'interlaced-tff' })(m);
      layer('bitstream', { scan: 'interlaced-tff' })(m);
    },
    'pass',
  ],
  ['no picture', { is: ['progressive'] }, noVideo, 'fail'],
]);
