import { PQ, PQ_PEAK_NITS } from '../transfer/pq.js';

/** Luminances in cd/m2: of the display the picture was made for, and of the target. */
export interface EetfDisplays {
  readonly sourcePeak: number;
  readonly sourceBlack?: number;
  readonly targetPeak: number;
  readonly targetBlack?: number;
}

/**
 * The electrical-electrical transfer function of Report ITU-R BT.2390 (EETF): luminance to luminance, in
 * cd/m2. Below the knee nothing changes (except for the black lift); above it a Hermite spline in PQ rolls
 * off to the peak of the target.
 *
 * With a black lift the formula exceeds the peak of the target by up to 0.1 %: the result is limited to it
 * here. Source: BT.2390 (knee and spline), from memory; terms as in common transcriptions of it.
 */
export function eetf({ sourcePeak, sourceBlack = 0, targetPeak, targetBlack = 0 }: EetfDisplays) {
  if (
    !(sourcePeak > sourceBlack && targetPeak > targetBlack && sourcePeak <= PQ_PEAK_NITS && targetBlack >= 0)
  ) {
    throw new RangeError(
      `no tone mapping from ${sourceBlack}..${sourcePeak} to ${targetBlack}..${targetPeak} cd/m2`,
    );
  }
  const base = PQ.inverseEotf(sourceBlack);
  const span = PQ.inverseEotf(sourcePeak) - base;
  const relative = (nits: number): number => (PQ.inverseEotf(nits) - base) / span;
  const maxLum = Math.min(relative(targetPeak), 1);
  const minLum = Math.max(relative(targetBlack), 0);
  const knee = 1.5 * maxLum - 0.5;
  // With no black on either side the curve is the identity up to the knee: no conversion to PQ and back is
  // needed.
  const identityUpTo = sourceBlack === 0 && targetBlack === 0 ? PQ.eotf(Math.max(knee, 0) * span) : -1;

  return (nits: number): number => {
    if (nits >= 0 && nits <= identityUpTo) return nits;
    const e1 = Math.min(Math.max(relative(nits), 0), 1);
    const e2 = e1 < knee || maxLum >= 1 ? e1 : spline(e1, knee, maxLum);
    const e3 = e2 + minLum * (1 - e2) ** 4;
    return Math.min(PQ.eotf(e3 * span + base), targetPeak);
  };
}

function spline(e1: number, knee: number, maxLum: number): number {
  const t = (e1 - knee) / (1 - knee);
  const t2 = t * t;
  const t3 = t2 * t;
  return (2 * t3 - 3 * t2 + 1) * knee + (t3 - 2 * t2 + t) * (1 - knee) + (-2 * t3 + 3 * t2) * maxLum;
}
