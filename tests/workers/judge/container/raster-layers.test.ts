import { layer, noLayer, none } from '../changes.js';
import { noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('raster-layers', [
  ['agree', {}, none, 'pass'],
  ['one line more', {}, layer('container', { raster: { width: 1920, height: 1081 } }), 'fail'],
  ['another width', {}, layer('container', { raster: { width: 1440, height: 1080 } }), 'fail'],
  // 1080 lines are 67.5 macroblocks of 16: 1088 stored.
  ['whole macroblocks', {}, layer('container', { raster: { width: 1920, height: 1088 } }), 'pass'],
  ['less than the picture', {}, layer('container', { raster: { width: 1920, height: 1072 } }), 'fail'],
  ['one silent', {}, layer('bitstream', { raster: null }), 'unmeasured'],
  ['one silent, no proof asked for', { proof: false }, layer('bitstream', { raster: null }), 'pass'],
  ['one not read', {}, noLayer('container'), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
