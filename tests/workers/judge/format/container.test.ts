import { none } from '../changes.js';
import { describeRows } from '../rows.js';

describeRows('container', [
  ['mov named .mov', { is: ['mov'] }, none, 'pass'],
  ['mov where mp4 is wanted', { is: ['mp4'] }, none, 'fail'],
  ['mov or mp4 wanted', { is: ['mov', 'mp4'] }, (m) => Object.assign(m.file, { path: '/x' }), 'pass'],
  [
    'mov or mp4, its name says neither',
    { is: ['mov'] },
    (m) => Object.assign(m.file, { path: '/x.part' }),
    'unmeasured',
  ],
  ['mkv', { is: ['mkv'] }, (m) => Object.assign(m.container, { format: 'matroska,webm' }), 'pass'],
  // ffmpeg calls a single picture by its own name.
  ['one picture', { is: ['dpx'] }, (m) => Object.assign(m.container, { format: 'dpx_pipe' }), 'pass'],
  ['one of another kind', { is: ['dpx'] }, (m) => Object.assign(m.container, { format: 'exr_pipe' }), 'fail'],
  ['another format', { is: ['mov'] }, (m) => Object.assign(m.container, { format: 'avi' }), 'fail'],
  [
    'mxf where mov is wanted, named .mov',
    { is: ['mov'] },
    (m) => Object.assign(m.container, { format: 'mxf' }),
    'fail',
  ],
]);
