import type { CodedLoudness } from '../../../../jobs/measurement/measured-sound.js';
import { none } from '../changes.js';
import { type Change, noSound, sound } from '../measured.js';
import { describeRows } from '../rows.js';

function dialnorm(...levels: readonly number[]): CodedLoudness {
  return {
    kind: 'dialnorm',
    levels: levels.map((level) => ({ level, frames: 100 })),
    reservedFrames: 0,
  };
}
function stated(...levels: readonly number[]): Change {
  return sound({ codedLoudness: dialnorm(...levels) });
}

describeRows('coded-loudness', [
  ['the same', {}, stated(-23), 'pass'],
  ['1 LU apart', {}, stated(-24), 'pass'],
  ['2 LU apart', {}, stated(-25), 'fail'],
  ['2 LU apart, above', {}, stated(-21), 'fail'],
  ['2 LU allowed', { tolerance: 2 }, stated(-25), 'pass'],
  ['a level that changes', {}, stated(-23, -24), 'fail'],
  [
    'the reserved code in one frame',
    {},
    sound({ codedLoudness: { ...dialnorm(-23), reservedFrames: 1 } }),
    'fail',
  ],
  ['no metadata', {}, none, 'unmeasured'],
  ['one stream without', {}, sound({ codedLoudness: dialnorm(-23) }, {}), 'unmeasured'],
  ['silence', {}, sound({ codedLoudness: dialnorm(-23), integratedLufs: null }), 'unmeasured'],
  ['layout unknown', {}, sound({ codedLoudness: dialnorm(-23), channels: 4, layout: null }), 'unmeasured'],
  ['no sound', {}, noSound, 'fail'],
]);
