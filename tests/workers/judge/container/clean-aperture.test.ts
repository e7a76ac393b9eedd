import { layer, noLayer, none, wrapper } from '../changes.js';
import { noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('clean-aperture', [
  ['the whole raster', { width: 1920, height: 1080 }, none, 'pass'],
  [
    'an aperture',
    { width: 1888, height: 1062 },
    layer('container', { cleanAperture: { width: 1888, height: 1062 } }),
    'pass',
  ],
  [
    'an aperture nobody asked for',
    { width: 1920, height: 1080 },
    layer('container', { cleanAperture: { width: 1888, height: 1062 } }),
    'fail',
  ],
  ['another container', { width: 1920, height: 1080 }, wrapper({ indexFirst: null }), 'unmeasured'],
  ['boxes not read', { width: 1920, height: 1080 }, noLayer('container'), 'unmeasured'],
  ['no picture', { width: 1920, height: 1080 }, noVideo, 'fail'],
]);
