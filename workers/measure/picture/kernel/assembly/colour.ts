import { PQ_BIN_BITS, SHORT_BITS } from '../../plan/step-bits';
import { Job } from '../records';
import { noteExtremes, openExtremes } from './extremes';
import { bump } from './histogram';
import { absoluteSpan } from './light';
import { shortSpan } from './light-rows';
import { addMarks, clearMarks } from './marks';
import { ownFours } from './own-chroma';
import { blueOfPixel, greenOfPixel, loadShort, openRow, redOfPixel } from './pixels';
import { rgbSixteens } from './rgb-rows';
import { exactExtremes, mayHoldExtremes, measureSharedRow, openSharedRows } from './shared-rows';
import { channelBytes, fillSteps } from './steps';

export function openColour(job: Job): void {
  openExtremes(job.results);
  openSharedRows(job.frame);
}

/**
 * Counts the open row, `y`, by R', G', B' and, for Y'CbCr and grey, by luma; notes extremes and marks; PQ
 * light on the way.
 */
export function measureColour(job: Job, y: i32): void {
  const picture = job.picture;
  const width = picture.width;
  // Two rows of eight: both fields. RGB pictures are counted whole, since their histograms are the samples
  // themselves.
  const counted = picture.model === 1 || (y & 7) < 2;
  clearMarks(job.scratch, y);
  if (job.rgb.isCounted === 0) {
    countLuma(job, 0);
    return;
  }
  let done = 0;
  if (job.shortMatrix.isUsed !== 0) {
    done = width & ~15;
    measureSharedRow(job, y, done, counted);
  } else if (hasCodeBins(job)) {
    // Bins wider than a code do not split into luma and chroma; 4:1:1 and grey are rare and small.
    if (picture.model === 1) {
      done = width & ~15;
      rgbSixteens(job, y, done);
    } else if (picture.model === 0 && picture.chromaShiftX === 0) {
      done = width & ~3;
      ownFours(job, y, done, counted);
    }
  }
  singles(job, y, done, counted);
}

/** Whether a bin of R', G', B' is a code wide, and one of PQ light no wider. */
function hasCodeBins(job: Job): bool {
  const shift = job.picture.codeShift;
  return job.rgb.shift === shift && (job.light.kind !== 1 || PQ_BIN_BITS <= shift);
}

/** After the last row: what the rows have left open. */
export function closeColour(job: Job): void {
  const whole = job.picture.width & ~15;
  if (job.shortMatrix.isUsed === 0 || whole === 0) return;
  for (let y = 0; y < job.picture.height; y++) {
    if (!mayHoldExtremes(job, y)) continue;
    openRow(job, y);
    exactExtremes(job, whole);
  }
}

/** The pixels of the open row from `from` on by luma. */
function countLuma(job: Job, from: i32): void {
  const row = job.frame.mainRow;
  const counts = job.histograms.luma.counts;
  const top = job.picture.topCode;
  for (let x = from; x < job.picture.width; x++) {
    bump(counts, min(<i32>load<u16>(row + ((<usize>x) << 1)), top));
  }
}

/** A pixel of these steps by R', G' and B'. */
function countColours(job: Job, red: i32, green: i32, blue: i32): void {
  const histograms = job.histograms;
  const from = job.rgb.from;
  const shift = job.rgb.shift;
  bump(histograms.red.counts, (red - from) >> shift);
  bump(histograms.green.counts, (green - from) >> shift);
  bump(histograms.blue.counts, (blue - from) >> shift);
}

/** The same by its short sums. */
function countShortColours(job: Job, y: i32, x: i32): void {
  const steps = i32x4.shl(loadShort(job, y, x), SHORT_BITS);
  countColours(job, redOfPixel(steps), greenOfPixel(steps), blueOfPixel(steps));
}

/** The pixels of the open row, `y`, from `from` on, one by one. */
function singles(job: Job, y: i32, from: i32, counted: bool): void {
  const width = job.picture.width;
  if (from === width) return;
  const every = job.rgb.every;
  const isShort = job.shortMatrix.isUsed !== 0;
  const limitLow = job.limits.low;
  const limitHigh = job.limits.high;
  const channel = channelBytes(job.picture);
  const reds = job.scratch.padded;
  const greens = reds + channel;
  const blues = greens + channel;
  fillSteps(job, y, from, width, 0, reds);
  if (job.picture.model !== 1) countLuma(job, from);
  let least = i32.MAX_VALUE;
  let most = i32.MIN_VALUE;
  let first = -1;
  let last = -1;
  for (let x = from; x < width; x++) {
    const at = (<usize>x) << 2;
    const red = load<i32>(reds + at);
    const green = load<i32>(greens + at);
    const blue = load<i32>(blues + at);
    if (counted && x % every === 0) {
      if (isShort) countShortColours(job, y, x);
      else countColours(job, red, green, blue);
    }
    const high = max(max(red, green), blue);
    const low = min(min(red, green), blue);
    least = min(least, low);
    most = max(most, high);
    if (high > limitHigh || low < limitLow) {
      if (first < 0) first = x;
      last = x;
    }
  }
  noteExtremes(job.results, least, most);
  addMarks(job.scratch, y, first, last);
  if (job.light.kind === 1) absoluteSpan(job, y, from, width);
  else if (job.light.kind > 1 && isShort) shortSpan(job, y, from, width);
}
