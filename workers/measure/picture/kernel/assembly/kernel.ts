// The measuring pass over one frame, as WebAssembly with SIMD. The host (wasm-kernel.ts) lays a job in the
// memory, fills a frame slot and calls `measureFrame`; it then reads counters and results where it laid them.
// Every figure is the same, bit for bit, as that of the oracle in TypeScript (tests/oracle/scalar-kernel.ts):
// tests hold the two together.
import {
  CellSum,
  Cells,
  Extremes,
  Frame,
  Histogram,
  Histograms,
  Job,
  Light,
  Limits,
  Matrix,
  P3,
  Picture,
  Results,
  RgbCounting,
  Scratch,
  ShortMatrix,
  Spread,
} from '../records';
import { BLOCK } from '../sizes';
import { closeColour, measureColour, openColour } from './colour';
import { openDisplayed } from './displayed-light';
import { measureFeatures, openFeatures } from './features';
import { countOutside } from './gamut-filter';
import { splitPairs } from './histogram';
import { measureLightRow } from './light-rows';
import { openBlock, openFrame, openRow } from './pixels';
import { measureOthers } from './planes';
import { makeSplats } from './splats';

export { widen } from './pixels';

/** Bytes of every kind of record, once each: the host refuses a kernel that was built of other records. */
export function recordBytes(): i32 {
  const plan = offsetof<Picture>() + offsetof<Matrix>() + offsetof<ShortMatrix>() + offsetof<RgbCounting>();
  const limits = offsetof<Limits>() + offsetof<Light>() + offsetof<P3>() + offsetof<Spread>();
  const counts = offsetof<Histograms>() + offsetof<Histogram>() + offsetof<Cells>() + offsetof<CellSum>();
  const places = offsetof<Extremes>() + offsetof<Scratch>() + offsetof<Frame>() + offsetof<Results>();
  return <i32>(plan + limits + counts + places + offsetof<Job>());
}

/** Where what the kernel keeps in memory for itself ends. */
export function ownEnd(): usize {
  return __heap_base;
}

/**
 * Measures the frame at `frame` against the one at `previous`, 0 for none. Both are planes without padding,
 * of bytes or of 16-bit codes.
 */
export function measureFrame(job: Job, frame: usize, previous: usize): void {
  const height = job.picture.height;
  makeSplats(job);
  openFrame(job, frame, previous);
  openFeatures(job);
  openColour(job);
  openDisplayed(job);
  job.results.outsideP3 = 0;
  for (let from = 0; from < height; from += BLOCK) {
    const to = min(from + BLOCK, height);
    openBlock(job, from);
    measureFeatures(job, from, to);
    if (job.picture.model !== 2) measureOthers(job, from);
    for (let y = from; y < to; y++) {
      openRow(job, y);
      measureColour(job, y);
      if (job.light.kind > 1 && job.shortMatrix.isUsed === 0) measureLightRow(job, y);
    }
  }
  closeColour(job);
  job.results.outsideR103 = countOutside(job);
  endPairs(job.histograms);
}

/** Tables of pairs are empty where nothing was counted in them. */
function endPairs(histograms: Histograms): void {
  endPlane(histograms, histograms.luma);
  endPlane(histograms, histograms.cb);
  endPlane(histograms, histograms.cr);
  endPlane(histograms, histograms.red);
  endPlane(histograms, histograms.green);
  endPlane(histograms, histograms.blue);
}

function endPlane(histograms: Histograms, histogram: Histogram): void {
  splitPairs(histogram, histograms.pairStride, histograms.pairBins);
}
