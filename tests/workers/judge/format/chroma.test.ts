import { none } from '../changes.js';
import { noVideo, samples, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('chroma', [
  ['as wanted', { declared: ['4:2:2'] }, none, 'pass'],
  [
    'the container declares less',
    { declared: ['4:2:2'] },
    samples({ bitDepth: 10, chroma: '4:2:0' }),
    'unmeasured',
  ],
  [
    'the container declares it too',
    { declared: ['4:2:2'] },
    samples({ bitDepth: 8, chroma: '4:2:2' }),
    'pass',
  ],
  [
    'less',
    { declared: ['4:2:2', '4:4:4'] },
    video((v) => Object.assign(v.chroma, { declared: '4:2:0' })),
    'fail',
  ],
  [
    'without a name',
    { declared: ['4:2:2'] },
    video((v) => Object.assign(v.chroma, { declared: null })),
    'unmeasured',
  ],
  ['no picture', { declared: ['4:2:2'] }, noVideo, 'fail'],
]);
