import { expect, it } from 'vitest';
import { framesApart } from '../../../../workers/compare/whole/frames-apart.js';

/** Mean squared error of a PSNR at 10 bits. */
const mseOf = (decibels: number): number => 1023 ** 2 / 10 ** (decibels / 10);
type Frame = readonly [psnr: number, ssim: number];
const [GOOD, OTHER]: readonly Frame[] = [
  [48, 0.995],
  [16, 0.3],
];

function apart(frames: readonly (Frame | undefined)[], planes = ['y']) {
  const column = (of: (frame: Frame) => number) =>
    new Map(planes.map((plane) => [plane, frames.map((frame) => of(frame ?? [0, 0]))]));
  return framesApart(
    column(([psnr]) => mseOf(psnr)),
    column(([, ssim]) => ssim),
    10,
  );
}
const many = (count: number, frame: Frame | undefined) => Array.from({ length: count }, () => frame);

it.each([
  ['none of a good copy', many(50, GOOD), []],
  ['a frame that was replaced', [...many(30, GOOD), OTHER, ...many(19, GOOD)], [{ from: 30, to: 31 }]],
  [
    'all after a lost one, also where they are most',
    [...many(10, GOOD), ...many(40, OTHER)],
    [{ from: 10, to: 50 }],
  ],
  [
    'two runs',
    [OTHER, ...many(20, GOOD), OTHER, OTHER],
    [
      { from: 0, to: 1 },
      { from: 21, to: 23 },
    ],
  ],
  ['none where all is wrong alike', many(50, OTHER), []],
  ['not coarse grain: its noise is lost, above 30 dB', [...many(20, GOOD), [33, 0.5] as Frame], []],
  ['not a dark copy of a like picture', [...many(20, GOOD), [22, 0.9] as Frame], []],
])('%s', (_, frames, expected) => {
  expect(apart(frames)).toEqual(expected);
  expect(apart(frames, ['r', 'g', 'b'])).toEqual(expected);
});
