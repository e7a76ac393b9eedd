import { expect, it } from 'vitest';
import { none } from '../changes.js';
import { noSound, note, sound } from '../measured.js';
import { describeRows, findingOf } from '../rows.js';

function R128(): object {
  return { target: -23, tolerance: 0.2 };
}

describeRows('loudness', [
  ['on target', R128(), none, 'pass'],
  ['just inside', R128(), sound({ integratedLufs: -22.8 }), 'pass'],
  ['just inside, below', R128(), sound({ integratedLufs: -23.2 }), 'pass'],
  ['just outside', R128(), sound({ integratedLufs: -22.79 }), 'fail'],
  ['just outside, below', R128(), sound({ integratedLufs: -23.21 }), 'fail'],
  ['the second stream counts too', R128(), sound({}, { integratedLufs: -20 }), 'fail'],
  ['silence', R128(), sound({ integratedLufs: null, truePeakDbtp: null }), 'fail'],
  ['shorter than a block', R128(), sound({ integratedLufs: null, durationSeconds: 0.3 }), 'unmeasured'],
  [
    'part of a programme',
    R128(),
    sound({ channels: 1, layout: 'mono' }, { channels: 1, layout: 'mono' }),
    'unmeasured',
  ],
  ['a mono programme', R128(), sound({ channels: 1, layout: 'mono' }), 'pass'],
  ['surround without a layout', R128(), sound({ channels: 6, layout: null }), 'unmeasured'],
  ['surround with one', R128(), sound({ channels: 6, layout: '5.1(side)' }), 'pass'],
  ['doubted', R128(), note('audio[0]'), 'unmeasured'],
  ['another stream doubted', R128(), note('audio[1]'), 'pass'],
  ['no sound', R128(), noSound, 'fail'],
]);

it('names the edition of the standard', () => {
  expect(findingOf('loudness', R128(), none).expected).toContain('BS.1770-5');
});
