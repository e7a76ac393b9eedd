import { layer, noLayer, none } from '../changes.js';
import { noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

const LEVEL = { profiles: ['High 4:2:2 Intra'], levels: ['4.1'] };

describeRows('codec-level', [
  ['both as asked', LEVEL, none, 'pass'],
  ['one of several', { profiles: ['High', 'High 4:2:2 Intra'], levels: ['4', '4.1'] }, none, 'pass'],
  [
    'another level',
    LEVEL,
    (m) => {
      layer('bitstream', { level: '4.2' })(m);
      layer('container', { level: '4.2' })(m);
    },
    'fail',
  ],
  ['another profile', { ...LEVEL, profiles: ['High 4:2:2'] }, none, 'fail'],
  // EBU QC 0035W: both are required, one that is absent fails.
  [
    'no level',
    LEVEL,
    (m) => {
      layer('bitstream', { level: null })(m);
      layer('container', { level: null })(m);
    },
    'fail',
  ],
  [
    'no profile',
    LEVEL,
    (m) => {
      layer('bitstream', { profile: null })(m);
      layer('container', { profile: null })(m);
    },
    'fail',
  ],
  ['the container says another level', LEVEL, layer('container', { level: '5.1' }), 'fail'],
  ['the container says none', LEVEL, layer('container', { level: null, profile: null }), 'pass'],
  ['bitstream not read', LEVEL, noLayer('bitstream'), 'unmeasured'],
  ['neither could be read', LEVEL, layer('bitstream', { level: null, profile: null }), 'unmeasured'],
  ['no picture', LEVEL, noVideo, 'fail'],
]);
