import { expect, it } from 'vitest';
import type { FrameOrder } from '../../../../jobs/measurement/measured-comparison.js';
import { none, range } from '../changes.js';
import { type Change, measured, note, noVideo, there } from '../measured.js';
import { describeRows, findingOf } from '../rows.js';

/** Held against an original of as many frames as the faultless file has. */
function ordered(change: Partial<FrameOrder> = {}): Change {
  return (m) => {
    const { frames } = there(m.video, 'video');
    const found = { original: '/card/A001.mov', frames, expected: frames, apart: [], doubtful: [] };
    m.frameOrder = structuredClone({ ...found, alike: 0, difference: 0.001, ...change });
  };
}

const SWAPPED = [
  { ...range(20, 21), shows: 21 },
  { ...range(21, 22), shows: 20 },
];

describeRows('same-frames', [
  ['each frame in its place', {}, ordered(), 'pass'],
  ['some that look like the next', {}, ordered({ alike: 20 }), 'pass'],
  ['two swapped', {}, ordered({ apart: SWAPPED }), 'fail'],
  ['one that is doubted', {}, ordered({ doubtful: [range(4, 5)] }), 'warn'],
  ['one more than the original', {}, ordered({ expected: (measured().video?.frames ?? 0) - 1 }), 'fail'],
  ['one less than the original', {}, ordered({ expected: 1 + (measured().video?.frames ?? 0) }), 'fail'],
  ['an evened rate, whose count is no proof', {}, ordered({ expected: null }), 'pass'],
  ['not compared', {}, none, 'unmeasured', measured()],
  ['no original', {}, none, 'unmeasured'],
  ['sound alone, both', {}, noVideo, 'pass', measured(noVideo)],
]);

it('tells every place, and what is shown there', () => {
  const finding = findingOf('same-frames', {}, ordered({ apart: SWAPPED }));
  expect(finding.measured).toBe(
    'another picture than the original in frame 20 showing frame 21, 21 showing frame 20',
  );
  expect(finding.at.map(({ from, to }) => [from, to])).toEqual([[20, 22]]);
});

it('says how many frames could not be told from the next', () => {
  const { measured: told } = findingOf('same-frames', {}, ordered({ frames: 1500, alike: 20 }));
  expect(told).toMatch(/^1,?500 frames, each the original's; 20 of them too like the next/);
});

it('says why two files could not be compared', () => {
  const finding = findingOf('same-frames', {}, note('frameOrder'), measured());
  expect(finding.measured).toBe('not measured: the kernel said so');
});
