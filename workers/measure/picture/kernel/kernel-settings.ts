import { HLG } from '../../../../signal/transfer/hlg.js';
import { HLG_REFERENCE_DISPLAY, hlgSystemGamma } from '../../../../signal/transfer/hlg-ootf.js';
import { PQ } from '../../../../signal/transfer/pq.js';
import { FACTOR_BITS, SHORT_BITS } from '../plan/code-scale.js';
import {
  codableTop,
  FLOAT_BIN_BASE,
  FLOAT_BIN_SHIFT,
  FLOAT_BINS,
  LIGHT_STEP_BITS,
  P3_FLOOR_NITS,
  P3_TOLERANCE,
  POWER_SHIFT,
  PQ_BIN_BITS,
  SHORT_STEPS,
} from '../plan/light.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { shortFactors } from '../plan/picture-plan.js';
import { countedPixels, rgbBins } from '../plan/rgb-bins.js';
import { filterLimits, stepLimits } from '../rows/gamut-filter.js';
import { cellGrid } from './frame-features.js';
import { BLOCK, type KernelMemory, PAIR_ROWS, ROW_ROOM, SHORT_ROW_ROOM } from './kernel-memory.js';

const MODELS = { ycbcr: 0, rgb: 1, grey: 2 } as const;
const LIGHTS = { absolute: 1, displayed: 2, scene: 3 } as const;
const HALF_PQ_BIN = 2 ** (PQ_BIN_BITS - 1);

/** Constants that are compiled into the kernel, and must be those of our scales and of the memory we lay out. */
export const COMPILED_IN = {
  ...{ FACTOR_BITS, LIGHT_STEP_BITS, POWER_SHIFT, PQ_BIN_BITS, SHORT_BITS, SHORT_STEPS },
  ...{ BLOCK, PAIR_ROWS, ROW_ROOM, SHORT_ROW_ROOM },
} as const;

/** The kernel's state by the names it exports, for one plan; fills the tables in its memory. */
export function kernelSettings(plan: PicturePlan, memory: KernelMemory): Readonly<Record<string, number>> {
  const { layout, geometry, scale, meaning, light, limits } = plan;
  const { counts, addresses, pairs } = memory;
  const grid = cellGrid(geometry.width, geometry.height);
  const bins = rgbBins(plan);
  const factors = scale.chroma?.factors;
  const spreads = [0, 1, 2].map((channel) => leastSpread(plan, channel));
  const buffer = memory.memory.buffer;
  const [lumaRed, lumaGreen, lumaBlue] =
    light !== null && light.kind !== 'absolute' ? light.luminance : [0, 0, 0];
  if (light !== null) {
    new Float32Array(buffer, addresses.linearTable, light.linear.length).set(light.linear);
    new Float32Array(buffer, addresses.shortTable, light.shortLinear.length).set(light.shortLinear);
  }
  const p3 = light !== null && light.kind !== 'scene' ? light.p3 : null;
  if (p3) new Float32Array(buffer, addresses.p3Matrix, 9).set(p3.toP3.flat());
  const { low, high } = limits ? stepLimits(limits) : { low: -(2 ** 31), high: 2 ** 31 - 1 };
  const filtered = limits ? filterLimits(limits) : { low, high };
  return {
    ...addresses,
    width: geometry.width,
    height: geometry.height,
    chromaWidth: geometry.chromaWidth,
    chromaHeight: geometry.chromaHeight,
    chromaShiftX: layout.chromaShiftX,
    chromaShiftY: layout.chromaShiftY,
    interlaced: plan.interlaced ? 1 : 0,
    bytesPerSample: layout.bytesPerSample,
    model: MODELS[layout.model],
    topCode: scale.topCode,
    codeShift: scale.shift,
    neutral: factors?.neutral ?? 0,
    crToRed: factors?.crToRed ?? 0,
    cbToGreen: factors?.cbToGreen ?? 0,
    crToGreen: factors?.crToGreen ?? 0,
    cbToBlue: factors?.cbToBlue ?? 0,
    hasRgb: meaning.matrix === null ? 0 : 1,
    rgbFrom: bins.from,
    rgbShift: bins.shift,
    countedPixels: countedPixels(plan),
    limitLow: low,
    limitHigh: high,
    filteredLow: filtered.low,
    filteredHigh: filtered.high,
    lightKind: light === null ? 0 : LIGHTS[light.kind],
    lightFrom: scale.black - HALF_PQ_BIN,
    lightLastBin: light === null || light.kind === 'scene' ? 0 : light.binNits.length - 1,
    linearFrom: light?.tableFrom ?? 0,
    powerBase: light?.kind === 'displayed' ? light.powerBase : 0,
    floorPower: light?.kind === 'displayed' ? light.floorPower : 0,
    p3FloorPower: light?.kind === 'displayed' ? light.p3FloorPower : 0,
    black: scale.black,
    floatBinBase: FLOAT_BIN_BASE,
    floatBinShift: FLOAT_BIN_SHIFT,
    floatBinLast: FLOAT_BINS,
    lumaRed,
    lumaGreen,
    lumaBlue,
    testsP3: p3 ? 1 : 0,
    ...spreadSettings(spreads),
    ...shortSettings(plan, { low, high }),
    p3RedShare: p3?.shares[0] ?? 0,
    p3GreenShare: p3?.shares[1] ?? 0,
    p3BlueShare: p3?.shares[2] ?? 0,
    p3Tolerance: P3_TOLERANCE,
    p3FloorNits: P3_FLOOR_NITS,
    lumaCounts: counts.luma.address,
    lumaPairs: counts.luma.pairs,
    cbCounts: counts.cb.address,
    cbPairs: counts.cb.pairs,
    crCounts: counts.cr.address,
    crPairs: counts.cr.pairs,
    redCounts: counts.red.address,
    redPairs: counts.red.pairs,
    greenCounts: counts.green.address,
    greenPairs: counts.green.pairs,
    blueCounts: counts.blue.address,
    bluePairs: counts.blue.pairs,
    lightCounts: counts.light.address,
    brightestCounts: counts.brightest.address,
    countsPairs: pairs.countsPairs ? 1 : 0,
    codeStride: pairs.codeStride,
    codeBins: Math.ceil(pairs.codes / 4) * 4,
    cellSize: grid.size,
    cellColumns: grid.columns,
  };
}

/** More than a short sum may be from the exact one, in short steps. */
const SHORT_SLACK = 1;

/** Limits for short sums are so much wider that nothing the exact sums would find is missed. */
function shortSettings(plan: PicturePlan, { low, high }: { readonly low: number; readonly high: number }) {
  const factors = shortFactors(plan);
  const step = 2 ** SHORT_BITS;
  return {
    sumsShort: factors === null || plan.meaning.matrix === null ? 0 : 1,
    shortChroma: factors?.chroma ?? 0,
    shortCrToRed: factors?.crToRed ?? 0,
    shortCbToGreen: factors?.cbToGreen ?? 0,
    shortCrToGreen: factors?.crToGreen ?? 0,
    shortCbToBlue: factors?.cbToBlue ?? 0,
    shortLow: short(Math.ceil(low / step) + SHORT_SLACK),
    shortHigh: short(Math.floor(high / step) - SHORT_SLACK),
  };
}

function short(value: number): number {
  return Math.min(Math.max(value, -(2 ** 15)), 2 ** 15 - 1);
}

interface Spread {
  /** In units of 64 steps. */
  readonly base: number;
  /** 12 fraction bits. */
  readonly slope: number;
  /** Never more than this, in units of 64 steps. */
  readonly cap: number;
}

function spreadSettings(spreads: readonly Spread[]) {
  return Object.fromEntries(
    ['Red', 'Green', 'Blue'].flatMap((channel, i) => {
      const { base, slope, cap } = spreads[i] ?? ANY_SPREAD;
      // The spread has two sums in it, and the slope's product is rounded.
      const inShorts = (units: number): number =>
        short(Math.floor((units * SPREAD_UNIT) / 2 ** SHORT_BITS) - 2 * SHORT_SLACK - 1);
      return [
        [`spreadBase${channel}`, base],
        [`spreadSlope${channel}`, slope],
        [`spreadCap${channel}`, cap],
        [`shortBase${channel}`, inShorts(base)],
        [`shortCap${channel}`, inShorts(cap)],
        [`shortSlope${channel}`, short(slope * 2 ** 3)],
      ];
    }),
  );
}

/** Units of the bound below, in steps. */
const SPREAD_UNIT = 64;

const ANY_SPREAD: Spread = { base: 2 ** 24, slope: 0, cap: 2 ** 24 };

/** Light by signal and back, and the least that may be held against P3: of HLG that of a neutral colour, which is the brightest of a largest channel. */
const PQ_LIGHT = { linear: PQ.eotf, inverse: PQ.inverseEotf, floor: P3_FLOOR_NITS };
const HLG_LIGHT = {
  linear: HLG.inverseOetf,
  inverse: HLG.oetf,
  floor: (P3_FLOOR_NITS / HLG_REFERENCE_DISPLAY.peak) ** (1 / hlgSystemGamma(HLG_REFERENCE_DISPLAY.peak)),
};

/**
 * A bound on how far a channel of a pixel may lie below the largest one and be inside P3 whatever the hue: a line in the largest channel
 * up to a cap, both under the exact bound at every short step, so that nothing passes by that the exact test would find.
 */
function leastSpread({ light, scale }: PicturePlan, channel: number): Spread {
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
  // Two units more for that pixel and for what the shifts cut off.
  return { base: Math.floor(base / SPREAD_UNIT) - 2, slope: whole, cap: Math.floor(cap / SPREAD_UNIT) - 2 };
}
