import { expect, it } from 'vitest';
import { framesApart } from '../../../../workers/compare/whole/frames-apart.js';

/** Mean squared error of a PSNR at 10 bits. */
const mseOf = (decibels: number): number => 1023 ** 2 / 10 ** (decibels / 10);
/** PSNR, SSIM, and PSNR of means. */
type Frame = readonly [psnr: number, ssim: number, coarse: number];
const GOOD: Frame = [48, 0.995, 60];
const OTHER: Frame = [16, 0.3, 20];
/** Grain at a coarse quantiser: gone, and its mean is right. */
const LOST_GRAIN: Frame = [22, 0.3, 42];

function found(frames: readonly Frame[], planes: readonly string[] = ['y']) {
  const column = (of: (frame: Frame) => number) =>
    new Map(planes.map((plane) => [plane, frames.map((frame) => of(frame))]));
  const figures = {
    psnr: column(([psnr]) => mseOf(psnr)),
    ssim: column(([, ssim]) => ssim),
    coarse: column(([, , coarse]) => mseOf(coarse)),
  };
  return framesApart(figures, 10);
}
const many = (count: number, frame: Frame): Frame[] => Array.from({ length: count }, () => frame);

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
  ['not coarse coding above 30 dB', [...many(20, GOOD), [33, 0.5, 33] as const], []],
  ['not a dark copy of a like picture', [...many(20, GOOD), [22, 0.9, 22] as const], []],
  ['not lost grain', [...many(20, GOOD), LOST_GRAIN], []],
])('%s', (_, frames, apart) => {
  expect(found(frames).apart).toEqual(apart);
  expect(found(frames, ['r', 'g', 'b']).apart).toEqual(apart);
});

it('cannot tell lost grain from another picture of the same means', () => {
  const { doubtful } = found([...many(20, GOOD), ...many(5, LOST_GRAIN)]);
  expect(doubtful).toEqual([{ from: 20, to: 25 }]);
});
