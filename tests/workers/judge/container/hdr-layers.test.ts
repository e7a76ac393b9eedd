import { layer, none } from '../changes.js';
import { type Change, noVideo, there } from '../measured.js';
import { describeRows } from '../rows.js';

function greenY(value: number): Change {
  return (m) => {
    there(m.layers.container?.mastering, 'mastering display').green = [0.265, value];
  };
}

describeRows('hdr-layers', [
  ['agree', {}, none, 'pass'],
  ['MaxCLL differs by 1', {}, layer('container', { lightLevel: { maxCll: 1001, maxFall: 180 } }), 'fail'],
  ['MaxFALL differs by 1', {}, layer('container', { lightLevel: { maxCll: 1000, maxFall: 181 } }), 'fail'],
  ['one chromaticity differs by one step', {}, greenY(0.690_02), 'fail'],
  ['one chromaticity in another unit', {}, greenY(0.690_001), 'pass'],
  ['light level in one alone', {}, layer('bitstream', { lightLevel: null }), 'unmeasured'],
  [
    'light level in one alone, no proof asked for',
    { proof: false },
    layer('bitstream', { lightLevel: null }),
    'pass',
  ],
  [
    'silent and contradicting, no proof asked for',
    { proof: false },
    (m) => {
      layer('bitstream', { lightLevel: null })(m);
      greenY(0.7)(m);
    },
    'fail',
  ],
  ['no picture', {}, noVideo, 'fail'],
]);
