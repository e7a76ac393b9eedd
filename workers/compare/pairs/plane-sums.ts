import type { PlaneError } from '../../../jobs/measurement/measured-comparison.js';
import { bitsKept } from '../../../signal/precision.js';
import type { Plane } from './frame-planes.js';

/** Sums over pairs of samples, in codes of the original's depth. They add over frames. */
export interface PlaneSums {
  samples: number;
  original: number;
  copy: number;
  originalSquared: number;
  copySquared: number;
  product: number;
  error: number;
  errorSquared: number;
  maxError: number;
  worstMean: number;
  worstFrame: number;
}

export function noSums(): PlaneSums {
  return {
    ...{ samples: 0, original: 0, copy: 0, originalSquared: 0, copySquared: 0, product: 0 },
    ...{ error: 0, errorSquared: 0, maxError: 0, worstMean: -1, worstFrame: 0 },
  };
}

/** Adds every sample of a plane of one frame. Both planes have the same size. */
export function addPlane(sums: PlaneSums, original: Plane, copy: Plane, frame: number): void {
  const { codes } = original;
  const other = copy.codes;
  let [o, c, oo, cc, oc, e, ee, max] = [0, 0, 0, 0, 0, 0, 0, 0];
  for (let i = 0; i < codes.length; i++) {
    const a = codes[i] ?? 0;
    const b = other[i] ?? 0;
    const difference = b - a;
    o += a;
    c += b;
    oo += a * a;
    cc += b * b;
    oc += a * b;
    e += difference;
    ee += difference * difference;
    if (difference > max) max = difference;
    else if (-difference > max) max = -difference;
  }
  sums.samples += codes.length;
  sums.original += o;
  sums.copy += c;
  sums.originalSquared += oo;
  sums.copySquared += cc;
  sums.product += oc;
  sums.error += e;
  sums.errorSquared += ee;
  sums.maxError = Math.max(sums.maxError, max);
  const mean = codes.length === 0 ? 0 : ee / codes.length;
  if (mean > sums.worstMean) Object.assign(sums, { worstMean: mean, worstFrame: frame });
}

/** Figures of a plane, from sums over at least one sample. */
export function errorOf(plane: PlaneError['plane'], sums: PlaneSums, depth: number): PlaneError {
  const { samples, error, errorSquared, maxError, worstFrame } = sums;
  const meanSquared = errorSquared / samples;
  return {
    plane,
    bitsKept: bitsKept(meanSquared, depth),
    meanError: error / samples,
    rmsError: Math.sqrt(meanSquared),
    maxError,
    worstFrame,
    correlation: correlationOf(sums),
  };
}

function correlationOf({ samples: n, ...sums }: PlaneSums): number | null {
  const covariance = sums.product / n - (sums.original / n) * (sums.copy / n);
  const original = sums.originalSquared / n - (sums.original / n) ** 2;
  const copy = sums.copySquared / n - (sums.copy / n) ** 2;
  // What rounding of the sums leaves of a single level.
  const least = 1e-6;
  if (original < least || copy < least) return null;
  return Math.min(1, Math.max(-1, covariance / Math.sqrt(original * copy)));
}
