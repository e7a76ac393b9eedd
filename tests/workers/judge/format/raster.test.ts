import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('raster', [
  ['exact', { width: 1920, height: 1080 }, none, 'pass'],
  ['one line more', { width: 1920, height: 1080 }, video({ height: 1081 }), 'fail'],
  ['one column less', { width: 1920, height: 1080 }, video({ width: 1919 }), 'fail'],
  ['mirrored', { width: 1920, height: 1080 }, video({ mirrored: true }), 'fail'],
  ['turned', { width: 1920, height: 1080 }, video({ rotation: -90 }), 'fail'],
  ['turned all the way', { width: 1920, height: 1080 }, video({ rotation: 360 }), 'pass'],
  ['no picture', { width: 1920, height: 1080 }, noVideo, 'fail'],
]);
