import { SHORT_BITS } from '../../plan/step-bits';
import { Job } from '../records';
import { countDisplayedOne } from './displayed-light';
import { judgeOne, measureDisplayed } from './light';
import { blueOfPixel, greenOfPixel, loadShort, redOfPixel } from './pixels';
import { countSceneOne, measureScene } from './scene-light';
import { channelBytes, fillSteps } from './steps';

// Light that depends on all three channels of a pixel, HLG's and that of camera logs, where there are no
// short sums for eight pixels at once.

/** The open row, `y`, of a picture without short sums. */
export function measureLightRow(job: Job, y: i32): void {
  const width = job.picture.width;
  const stride = channelBytes(job.picture);
  const reds = job.scratch.padded;
  const greens = reds + stride;
  const blues = greens + stride;
  fillSteps(job, y, 0, width, 0, reds);
  // Of camera logs only pixels that have a sample of chroma to themselves are counted.
  const step = job.light.kind === 3 ? job.rgb.every : 1;
  const whole = step === 1 ? width & ~3 : 0;
  for (let x = 0; x < whole; x += 4) {
    const at = (<usize>x) << 2;
    measure(job, v128.load(reds + at), v128.load(greens + at), v128.load(blues + at), 4);
  }
  for (let x = whole; x < width; x += step) {
    const at = (<usize>x) << 2;
    const red = v128.load32_splat(reds + at);
    measure(job, red, v128.load32_splat(greens + at), v128.load32_splat(blues + at), 1);
  }
}

function measure(job: Job, reds: v128, greens: v128, blues: v128, pixels: i32): void {
  if (job.light.kind === 3) measureScene(job, reds, greens, blues, pixels);
  else measureDisplayed(job, reds, greens, blues, pixels);
}

/** Pixels of a row with short sums, one by one; their exact steps lie in scratch memory. */
export function shortSpan(job: Job, y: i32, from: i32, to: i32): void {
  const light = job.light;
  const shift = job.picture.codeShift - SHORT_BITS;
  const channel = channelBytes(job.picture);
  const exact = job.scratch.padded;
  const step = light.kind === 3 ? job.rgb.every : 1;
  for (let x = from; x < to; x += step) {
    const short = loadShort(job, y, x);
    const reds = i16x8.splat(<i16>redOfPixel(short));
    const greens = i16x8.splat(<i16>greenOfPixel(short));
    const blues = i16x8.splat(<i16>blueOfPixel(short));
    if (light.kind === 3) countSceneOne(light, shift, reds, greens, blues);
    else {
      countDisplayedOne(light, reds, greens, blues);
      const red = exact + ((<usize>x) << 2);
      const green = red + channel;
      judgeOne(job, v128.load32_splat(red), v128.load32_splat(green), v128.load32_splat(green + channel));
    }
  }
}
