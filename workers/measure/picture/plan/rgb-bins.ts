import type { PicturePlan } from './picture-plan.js';

/**
 * R', G' and B' that the matrix makes are counted on two rows of eight, so that both fields are in, and there
 * at the pixels that have a sample of chroma to themselves; their extremes, R 103 and light at all. That is
 * enough to show which tones there are, and counting is the most expensive step of a kernel. RGB pictures are
 * counted whole: their histograms are the samples themselves, and tell the effective depth.
 */
export function countsRgbOn(row: number, { layout }: Pick<PicturePlan, 'layout'>): boolean {
  return layout.model === 'rgb' || (row & 7) < 2;
}

/**
 * Every so many pixels of such a row are counted, from the first one on. Light of the scene is counted at the
 * same pixels, on every row.
 */
export function countedPixels({ layout }: Pick<PicturePlan, 'layout'>): number {
  return layout.model === 'ycbcr' ? 1 << layout.chromaShiftX : 1;
}

/** Bins of R'G'B' are one code wide up to this depth, so that the tables stay small. */
const FINEST_RGB_DEPTH = 12;

export interface RgbBins {
  /** A step lies in bin `(step - from) >> shift`. */
  readonly from: number;
  readonly shift: number;
  readonly count: number;
  readonly firstCode: number;
  readonly codesPerBin: number;
}

export function rgbBins({ layout, scale }: Pick<PicturePlan, 'layout' | 'scale'>): RgbBins {
  // RGB planes hold whole codes, whose low bits tell the effective depth: kept apart whatever the depth.
  const coarser = layout.model === 'rgb' ? 0 : Math.max(layout.depth - FINEST_RGB_DEPTH, 0);
  const shift = scale.shift + coarser;
  const bin = 2 ** shift;
  const steps = 2 ** scale.shift;
  // Half a code below a bin's first code, so that a value is counted at the code it rounds to.
  const from = Math.floor(scale.least / bin) * bin - steps / 2;
  return {
    from,
    shift,
    count: Math.ceil((scale.most - from) / bin) + 1,
    firstCode: (from + steps / 2) / steps,
    codesPerBin: bin / steps,
  };
}
