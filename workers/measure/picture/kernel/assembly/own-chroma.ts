import { PQ_BIN_BITS } from '../../plan/step-bits';
import { Job } from '../records';
import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { noteExtremes } from './extremes';
import { bumpFour } from './histogram';
import { countLight, judgeFour, mayLeaveP3 } from './light';
import { addMarks } from './marks';
import { splats } from './splats';
import { highestOfFour, lowestOfFour } from './vectors';

/** Bins of light of black pixels that get `above` on top. */
function lightBins(above: v128): v128 {
  return i32x4.shr_s(i32x4.sub(above, splats.lightFroms4), PQ_BIN_BITS);
}

/** Where the counters of black pixels with these steps lie, in bytes. */
function places(steps: v128, from: v128, shift: i32): v128 {
  return i32x4.shl(i32x4.shr_s(i32x4.sub(steps, from), shift), 2);
}

/** Y'CbCr where every pixel has its own chroma: the first `whole` pixels of the open row, a multiple of 4. */
export function ownFours(job: Job, y: i32, whole: i32, counted: bool): void {
  const frame = job.frame;
  const mainRow = frame.mainRow;
  const cbRow = frame.cbRow;
  const crRow = frame.crRow;
  const histograms = job.histograms;
  const lumaCounts = histograms.luma.counts;
  const redCounts = histograms.red.counts;
  const greenCounts = histograms.green.counts;
  const blueCounts = histograms.blue.counts;
  const lightCounts = job.light.counts;
  const shift = job.picture.codeShift;
  const scale = splats.codeSteps4;
  const rgbFrom = i32x4.splat(job.rgb.from);
  const limitHigh = i32x4.splat(job.limits.high);
  const limitLow = i32x4.splat(job.limits.low);
  const absolute = job.light.kind === 1;
  const testsP3 = absolute && job.p3.isTested !== 0;
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  let first = -1;
  let last = -1;
  for (let x = 0; x < whole; x += 4) {
    const at = (<usize>x) << 1;
    const codes = i32x4.min_s(v128.load_ext<u16>(mainRow + at), splats.topCodes4);
    const cb = chromaAt(cbRow + at);
    const cr = chromaAt(crRow + at);
    const red4 = redOf(cr);
    const green4 = greenOf(cb, cr);
    const blue4 = blueOf(cb);
    const place = i32x4.shl(codes, 2);
    bumpFour(lumaCounts, place);
    if (counted) {
      bumpFour(redCounts, i32x4.add(place, places(red4, rgbFrom, shift)));
      bumpFour(greenCounts, i32x4.add(place, places(green4, rgbFrom, shift)));
      bumpFour(blueCounts, i32x4.add(place, places(blue4, rgbFrom, shift)));
    }
    const above = i32x4.max_s(i32x4.max_s(red4, green4), blue4);
    const below = i32x4.min_s(i32x4.min_s(red4, green4), blue4);
    const luma = i32x4.mul(codes, scale);
    const high = i32x4.add(luma, above);
    const low = i32x4.add(luma, below);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) {
      if (first < 0) first = x;
      last = x + 3;
    }
    if (absolute) {
      countLight(lightCounts, codes, lightBins(above));
      if (testsP3) {
        const reds = i32x4.add(luma, red4);
        const greens = i32x4.add(luma, green4);
        const blues = i32x4.add(luma, blue4);
        if (mayLeaveP3(high, reds, greens, blues)) judgeFour(job, reds, greens, blues, 4);
      }
    }
  }
  if (whole > 0) noteExtremes(job.results, lowestOfFour(least), highestOfFour(most));
  addMarks(job.scratch, y, first, last);
}
