import { FACTOR_BITS, SHORT_BITS } from '../code-scale.js';
import { cellGrid } from '../frame-features.js';
import { filterLimits, stepLimits } from '../gamut-filter.js';
import {
  FACTOR_BASE,
  FACTOR_SHIFT,
  FLOAT_BIN_BASE,
  FLOAT_BIN_SHIFT,
  FLOAT_BINS,
  LIGHT_STEP_BITS,
  leastShareInside,
  P3_FLOOR_NITS,
  P3_TOLERANCE,
  PQ_BIN_BITS,
} from '../light.js';
import type { PicturePlan } from '../picture-kernel.js';
import { shortFactors } from '../plane-rows.js';
import { countedPixels, rgbBins } from '../rgb-bins.js';
import type { KernelMemory } from './kernel-memory.js';

const MODELS = { ycbcr: 0, rgb: 1, grey: 2 } as const;
const LIGHTS = { absolute: 1, displayed: 2, scene: 3 } as const;
const HALF_PQ_BIN = 2 ** (PQ_BIN_BITS - 1);

/** Constants that are compiled into the kernel, and must be those of our scales. */
export const COMPILED_IN = { FACTOR_BITS, LIGHT_STEP_BITS, PQ_BIN_BITS, SHORT_BITS } as const;

/** The kernel's state by the names it exports, for one plan; fills the tables in its memory. */
export function kernelSettings(plan: PicturePlan, memory: KernelMemory): Readonly<Record<string, number>> {
  const { layout, geometry, scale, meaning, light, limits } = plan;
  const { counts, addresses, pairs } = memory;
  const grid = cellGrid(geometry.width, geometry.height);
  const bins = rgbBins(plan);
  const factors = scale.chroma?.factors;
  const spread = leastSpread(plan);
  const buffer = memory.memory.buffer;
  const [lumaRed, lumaGreen, lumaBlue] =
    light !== null && light.kind !== 'absolute' ? light.luminance : [0, 0, 0];
  if (light !== null) new Float32Array(buffer, addresses.linearTable, light.linear.length).set(light.linear);
  if (light?.kind === 'displayed') {
    new Float32Array(buffer, addresses.factorTable, light.factor.length).set(light.factor);
  }
  const p3 = light !== null && light.kind !== 'scene' ? light.p3 : null;
  if (p3) new Float64Array(buffer, addresses.p3Matrix, 9).set(p3.toP3.flat());
  if (p3?.gate) new Int32Array(buffer, addresses.p3Gate, p3.gate.length).set(p3.gate);
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
    lightLastBin: light?.kind === 'absolute' ? light.binNits.length - 1 : 0,
    linearFrom: light?.tableFrom ?? 0,
    factorBase: FACTOR_BASE,
    factorShift: FACTOR_SHIFT,
    factorLast: light?.kind === 'displayed' ? light.factor.length - 1 : 0,
    floatBinBase: FLOAT_BIN_BASE,
    floatBinShift: FLOAT_BIN_SHIFT,
    floatBinLast: FLOAT_BINS,
    lumaRed,
    lumaGreen,
    lumaBlue,
    testsP3: p3 ? 1 : 0,
    ...spread,
    ...shortSettings(plan, { low, high }, spread),
    p3LeastShare: p3 ? leastShareInside(p3.toP3) : 0,
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

/** How far a short sum may be from the exact one, in short steps: two products make green. */
const SHORT_SLACK = 2;

/** Limits for short sums are so much wider that nothing the exact sums would find is missed. */
function shortSettings(
  plan: PicturePlan,
  { low, high }: { readonly low: number; readonly high: number },
  { spreadBase, spreadSlope }: { readonly spreadBase: number; readonly spreadSlope: number },
) {
  const factors = shortFactors(plan);
  const step = 2 ** SHORT_BITS;
  const held = (value: number): number => Math.min(Math.max(value, -(2 ** 15)), 2 ** 15 - 1);
  return {
    sumsShort: factors === null || plan.meaning.matrix === null ? 0 : 1,
    shortChroma: factors?.chroma ?? 0,
    shortCrToRed: factors?.crToRed ?? 0,
    shortCbToGreen: factors?.cbToGreen ?? 0,
    shortCrToGreen: factors?.crToGreen ?? 0,
    shortCbToBlue: factors?.cbToBlue ?? 0,
    shortLow: held(Math.ceil(low / step) + SHORT_SLACK),
    shortHigh: held(Math.floor(high / step) - SHORT_SLACK),
    // The spread has two sums in it, and the slope's product is rounded.
    shortSpreadBase: held(Math.floor((spreadBase * SPREAD_UNIT) / step) - 2 * SHORT_SLACK - 1),
    shortSpreadSlope: held(spreadSlope * 2 ** 3),
  };
}

/** Units of the bound below, in steps. */
const SPREAD_UNIT = 64;

/**
 * A bound on how far apart the largest and the smallest channel of a pixel lie before it can pass the gate of its bin of light: a line in
 * the largest channel that lies under the gates of all bins, so that it lets nothing pass by that the exact test would find.
 */
function leastSpread({ light, scale }: PicturePlan) {
  const none = { spreadBase: 2 ** 30, spreadSlope: 0 };
  if (light?.kind !== 'absolute' || !light.p3?.gate) return none;
  const points: { most: number; spread: number }[] = [];
  light.p3.gate.forEach((gate, bin) => {
    if (gate === -(2 ** 31)) return;
    const most = scale.black + bin * 2 ** PQ_BIN_BITS - HALF_PQ_BIN;
    points.push({ most, spread: most - gate });
  });
  const first = points[0];
  const last = points.at(-1);
  if (!first || !last) return none;
  const slope = Math.max(0, (last.spread - first.spread) / Math.max(last.most - first.most, 1));
  const spreadSlope = Math.floor(slope * 4096);
  // The highest pixel of a bin has the most allowed to it: two units more for it and for what the shifts cut off.
  const base = Math.min(
    ...points.map(({ most, spread }) => spread - (spreadSlope / 4096) * (most + 2 ** PQ_BIN_BITS)),
  );
  return { spreadBase: Math.floor(base / SPREAD_UNIT) - 2, spreadSlope };
}
