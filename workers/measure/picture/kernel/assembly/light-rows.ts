import { countDisplayedOne } from './displayed-light';
import { judgeOne, measureDisplayed } from './light';
import { loadPixel, loadShort, shortBlue, shortGreen, shortRed } from './pixels';
import { countSceneOne, measureScene } from './scene-light';
import { ROW_ROOM } from './sizes';
import * as s from './state';
import { fillSteps } from './steps';

// Light that depends on all three channels of a pixel, HLG's and that of camera logs, where there are no short sums for eight pixels at once.

/** The open row of a picture without short sums. */
export function measureLightRow(y: i32): void {
  const stride = (<usize>(s.width + ROW_ROOM)) << 2;
  const reds = s.paddedRows;
  const greens = reds + stride;
  const blues = greens + stride;
  fillSteps(y, 0, s.width, 0, reds, greens, blues);
  // Of camera logs only pixels that have a sample of chroma to themselves are counted.
  const step = s.lightKind === 3 ? s.countedPixels : 1;
  const whole = step === 1 ? s.width & ~3 : 0;
  for (let x = 0; x < whole; x += 4) {
    const at = (<usize>x) << 2;
    measure(v128.load(reds + at), v128.load(greens + at), v128.load(blues + at), 4);
  }
  for (let x = whole; x < s.width; x += step) {
    const at = (<usize>x) << 2;
    measure(v128.load32_splat(reds + at), v128.load32_splat(greens + at), v128.load32_splat(blues + at), 1);
  }
}

function measure(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  if (s.lightKind === 3) measureScene(reds, greens, blues, pixels);
  else measureDisplayed(reds, greens, blues, pixels);
}

/** Pixels of a row with short sums, one by one. */
export function shortSpan(y: i32, from: i32, to: i32): void {
  const step = s.lightKind === 3 ? s.countedPixels : 1;
  for (let x = from; x < to; x += step) {
    loadPixel(y, x);
    loadShort(y, x);
    const reds = i16x8.splat(<i16>shortRed);
    const greens = i16x8.splat(<i16>shortGreen);
    const blues = i16x8.splat(<i16>shortBlue);
    if (s.lightKind === 3) countSceneOne(reds, greens, blues);
    else {
      countDisplayedOne(reds, greens, blues);
      judgeOne();
    }
  }
}
