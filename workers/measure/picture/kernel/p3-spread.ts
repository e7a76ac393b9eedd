import { HLG } from '../../../../signal/transfer/hlg.js';
import { HLG_REFERENCE_DISPLAY, hlgSystemGamma } from '../../../../signal/transfer/hlg-ootf.js';
import { PQ } from '../../../../signal/transfer/pq.js';
import { codableTop, P3_FLOOR_NITS } from '../plan/light.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { PQ_BIN_BITS } from '../plan/step-bits.js';

const HALF_PQ_BIN = 2 ** (PQ_BIN_BITS - 1);

export interface Spread {
  /** In units of 64 steps. */
  readonly base: number;
  /** 12 fraction bits. */
  readonly slope: number;
  /** Never more than this, in units of 64 steps. */
  readonly cap: number;
}

/** Units of the bound below, in steps. */
export const SPREAD_UNIT = 64;

const ANY_SPREAD: Spread = { base: 2 ** 24, slope: 0, cap: 2 ** 24 };

/**
 * Light by signal and back, and the least that may be compared with P3: of HLG that of a neutral colour,
 * which is the brightest of a largest channel.
 */
const PQ_LIGHT = { linear: PQ.eotf, inverse: PQ.inverseEotf, floor: P3_FLOOR_NITS };
const HLG_LIGHT = {
  linear: HLG.inverseOetf,
  inverse: HLG.oetf,
  floor: (P3_FLOOR_NITS / HLG_REFERENCE_DISPLAY.peak) ** (1 / hlgSystemGamma(HLG_REFERENCE_DISPLAY.peak)),
};

/**
 * A bound on how far a channel of a pixel may lie below the largest one and be inside P3 whatever the hue: a
 * line in the largest channel up to a cap, both under the exact bound at every short step, so that nothing is
 * missed that the exact test would find.
 */
export function leastSpread({ light, scale }: PicturePlan, channel: number): Spread {
  if (light === null || light.kind === 'scene' || !light.p3) return ANY_SPREAD;
  const share = light.p3.shares[channel] ?? 1;
  const { black, white } = scale;
  const signal = (step: number): number => (step - black) / (white - black);
  const { linear, inverse, floor } = light.kind === 'absolute' ? PQ_LIGHT : HLG_LIGHT;
  const top = light.kind === 'absolute' ? white : codableTop(scale);
  const points: SpreadPoint[] = [];
  for (let most = black - HALF_PQ_BIN; most < top; most += 2 ** PQ_BIN_BITS) {
    // Half a bin of margin above, and a bin for the steps of the table of light.
    const brightest = linear(signal(Math.min(most + 1.5 * 2 ** PQ_BIN_BITS, top)));
    if (brightest < floor) continue;
    const least = black + inverse(brightest * share) * (white - black);
    points.push({ most, spread: most - least - 2 ** PQ_BIN_BITS });
  }
  // The exact bound rises, then hardly any more: the knee is where line and cap together allow most.
  let best = ANY_SPREAD;
  let mostAllowed = Number.NEGATIVE_INFINITY;
  for (let part = 1; part <= KNEES; part++) {
    const spread = spreadWithKnee(points, Math.floor((points.length * part) / KNEES));
    const allowed = points.reduce(
      (sum, { most: at }) =>
        sum + Math.min(spread.base * SPREAD_UNIT + (spread.slope / 4096) * at, spread.cap * SPREAD_UNIT),
      0,
    );
    if (allowed <= mostAllowed) continue;
    mostAllowed = allowed;
    best = spread;
  }
  return best;
}

const KNEES = 16;

interface SpreadPoint {
  readonly most: number;
  readonly spread: number;
}

/** A line under the first points and a cap under the others. */
function spreadWithKnee(points: readonly SpreadPoint[], knee: number): Spread {
  const [first, last] = [points[0], points[knee - 1]];
  if (!first || !last) return ANY_SPREAD;
  const slope = Math.max(0, (last.spread - first.spread) / Math.max(last.most - first.most, 1));
  const whole = Math.min(Math.floor(slope * 4096), 4095);
  let base = Number.POSITIVE_INFINITY;
  let cap = ANY_SPREAD.cap * SPREAD_UNIT;
  points.forEach(({ most, spread }, i) => {
    // The highest pixel of a bin has the most allowed to it.
    if (i < knee) base = Math.min(base, spread - (whole / 4096) * (most + 2 ** PQ_BIN_BITS));
    else cap = Math.min(cap, spread);
  });
  // Two more units for that pixel and for rounding by the shifts.
  return { base: Math.floor(base / SPREAD_UNIT) - 2, slope: whole, cap: Math.floor(cap / SPREAD_UNIT) - 2 };
}
