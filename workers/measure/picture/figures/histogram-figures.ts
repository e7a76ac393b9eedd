import type { CodeHistogram, Histograms } from '../../../../jobs/measurement/measured-histograms.js';
import type { PictureTotals } from '../recording/picture-totals.js';

const MOST_BINS = 1024;

/** Histograms of the whole file, with a limited number of bins. */
export function histogramFigures(totals: PictureTotals): Histograms | null {
  if (totals.frames === 0) return null;
  const codes = (counts: Float64Array | null): CodeHistogram | null => counts && compact(counts, 0, 1);
  const { rgb } = totals;
  const channel = (counts: Float64Array | undefined): CodeHistogram | null =>
    rgb && counts ? compact(counts, rgb.firstCode, rgb.codesPerBin) : null;
  return {
    luma: codes(totals.luma),
    cb: codes(totals.cb),
    cr: codes(totals.cr),
    red: channel(rgb?.red),
    green: channel(rgb?.green),
    blue: channel(rgb?.blue),
  };
}

/**
 * Without empty bins at the ends, and with as many codes per bin as needed: a power of two, with bins at its
 * multiples.
 */
function compact(counts: Float64Array, firstCode: number, codesPerBin: number): CodeHistogram | null {
  let from = 0;
  let to = counts.length;
  while (from < to && counts[from] === 0) from++;
  while (to > from && counts[to - 1] === 0) to--;
  if (from === to) return null;
  const lowest = firstCode + from * codesPerBin;
  const highest = firstCode + (to - 1) * codesPerBin;
  let width = codesPerBin;
  while (Math.floor(highest / width) - Math.floor(lowest / width) >= MOST_BINS) width *= 2;
  const first = Math.floor(lowest / width);
  const bins = new Array<number>(Math.floor(highest / width) - first + 1).fill(0);
  for (let i = from; i < to; i++) {
    const bin = Math.floor((firstCode + i * codesPerBin) / width) - first;
    bins[bin] = (bins[bin] ?? 0) + (counts[i] ?? 0);
  }
  return { firstCode: first * width, codesPerBin: width, counts: bins };
}
