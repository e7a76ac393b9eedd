import { P3_FLOOR_NITS, P3_TOLERANCE } from '../plan/light.js';
import { type PicturePlan, shortFactors } from '../plan/picture-plan.js';
import { countedPixels, rgbBins } from '../plan/rgb-bins.js';
import { PQ_BIN_BITS, SHORT_BITS } from '../plan/step-bits.js';
import { filterLimits, stepLimits } from '../rows/gamut-filter.js';
import type { KernelMemory } from './kernel-memory.js';
import { leastSpread, SPREAD_UNIT } from './p3-spread.js';
import { writeRecord } from './record-memory.js';
import {
  Frame,
  Job,
  type Light,
  type Limits,
  type Matrix,
  type P3,
  type Picture,
  Results,
  type RgbCounting,
  type ShortMatrix,
  type Spread,
} from './records.js';

const MODELS = { ycbcr: 0, rgb: 1, grey: 2 } as const;
const LIGHTS = { absolute: 1, displayed: 2, scene: 3 } as const;

/** More than a short sum may be from the exact one, in short steps. */
const SHORT_SLACK = 1;
/**
 * A little more than the share a channel needs, since the kernel's test is in single precision: the exact one
 * decides.
 */
const SHARE_SLACK = 1.001;

/** Writes the job of a plan, and the tables it names, to the kernel's memory. */
export function writeJob(plan: PicturePlan, memory: KernelMemory): void {
  const { light } = plan;
  const { buffer } = memory.memory;
  const p3 = p3Of(plan);
  if (light !== null) {
    new Float32Array(buffer, memory.lightTable, light.linear.length).set(light.linear);
    new Float32Array(buffer, memory.shortLightTable, light.shortLinear.length).set(light.shortLinear);
  }
  if (p3) new Float32Array(buffer, memory.p3Matrix, 9).set(p3.toP3.flat());
  writeRecord(buffer, memory.job, new Job(), {
    picture: pictureRecord(plan),
    matrix: matrixRecord(plan),
    shortMatrix: shortMatrixRecord(plan),
    rgb: rgbRecord(plan),
    limits: limitsRecord(plan),
    light: lightRecord(plan, memory),
    p3: p3Record(plan, memory),
    histograms: memory.histograms,
    cells: memory.cells,
    extremes: memory.extremes,
    scratch: memory.scratch,
    frame: new Frame(),
    results: new Results(),
  });
}

function p3Of({ light }: PicturePlan) {
  return light !== null && light.kind !== 'scene' ? light.p3 : null;
}

function pictureRecord({ layout, geometry, scale, interlaced }: PicturePlan): Picture {
  const { width, height, chromaWidth, chromaHeight } = geometry;
  const { chromaShiftX, chromaShiftY, bytesPerSample, model } = layout;
  return {
    ...{ width, height, chromaWidth, chromaHeight, chromaShiftX, chromaShiftY, bytesPerSample },
    interlaced: interlaced ? 1 : 0,
    model: MODELS[model],
    topCode: scale.topCode,
    codeShift: scale.shift,
    black: scale.black,
  };
}

/** Zeros where no matrix is needed or known. */
function matrixRecord({ scale }: PicturePlan): Matrix {
  const none = { neutral: 0, crToRed: 0, cbToGreen: 0, crToGreen: 0, cbToBlue: 0 };
  return scale.chroma?.factors ?? none;
}

function shortMatrixRecord(plan: PicturePlan): ShortMatrix {
  const factors = plan.meaning.matrix === null ? null : shortFactors(plan);
  if (factors === null) {
    return { isUsed: 0, chroma: 0, crToRed: 0, cbToGreen: 0, crToGreen: 0, cbToBlue: 0 };
  }
  return { isUsed: 1, ...factors };
}

function rgbRecord(plan: PicturePlan): RgbCounting {
  const { from, shift } = rgbBins(plan);
  return { isCounted: plan.meaning.matrix === null ? 0 : 1, from, shift, every: countedPixels(plan) };
}

/** Limits for short sums are so much wider that nothing the exact sums would find is missed. */
function limitsRecord({ limits }: PicturePlan): Limits {
  const { low, high } = limits ? stepLimits(limits) : { low: -(2 ** 31), high: 2 ** 31 - 1 };
  const filtered = limits ? filterLimits(limits) : { low, high };
  const step = 2 ** SHORT_BITS;
  return {
    low,
    high,
    filteredLow: filtered.low,
    filteredHigh: filtered.high,
    shortLow: short(Math.ceil(low / step) + SHORT_SLACK),
    shortHigh: short(Math.floor(high / step) - SHORT_SLACK),
  };
}

function lightRecord({ light, scale }: PicturePlan, memory: KernelMemory): Light {
  const displayed = light?.kind === 'displayed' ? light : null;
  const [red, green, blue] = light === null || light.kind === 'absolute' ? [0, 0, 0] : light.luminance;
  return {
    kind: light === null ? 0 : LIGHTS[light.kind],
    // Black lies in the middle of its bin.
    from: scale.black - 2 ** (PQ_BIN_BITS - 1),
    lastBin: light === null || light.kind === 'scene' ? 0 : light.binNits.length - 1,
    counts: memory.lightCounts,
    brightest: memory.brightestCounts,
    table: memory.lightTable,
    tableFrom: light?.tableFrom ?? 0,
    shortTable: memory.shortLightTable,
    powerBase: displayed?.powerBase ?? 0,
    floorPower: displayed?.floorPower ?? 0,
    ...{ red, green, blue },
  };
}

function p3Record(plan: PicturePlan, memory: KernelMemory): P3 {
  const p3 = p3Of(plan);
  const [red, green, blue] = p3?.shares ?? [0, 0, 0];
  return {
    isTested: p3 ? 1 : 0,
    matrix: memory.p3Matrix,
    tolerance: -P3_TOLERANCE,
    floorNits: P3_FLOOR_NITS,
    floorPower: plan.light?.kind === 'displayed' ? plan.light.p3FloorPower : 0,
    redShare: red * SHARE_SLACK,
    greenShare: green * SHARE_SLACK,
    blueShare: blue * SHARE_SLACK,
    red: spreadRecord(plan, 0),
    green: spreadRecord(plan, 1),
    blue: spreadRecord(plan, 2),
  };
}

function spreadRecord(plan: PicturePlan, channel: 0 | 1 | 2): Spread {
  const { base, slope, cap } = leastSpread(plan, channel);
  // The spread has two sums in it, and the slope's product is rounded.
  const inShorts = (units: number): number =>
    short(Math.floor((units * SPREAD_UNIT) / 2 ** SHORT_BITS) - 2 * SHORT_SLACK - 1);
  return {
    ...{ base, slope, cap },
    shortBase: inShorts(base),
    shortSlope: short(slope * 2 ** 3),
    shortCap: inShorts(cap),
  };
}

function short(value: number): number {
  return Math.min(Math.max(value, -(2 ** 15)), 2 ** 15 - 1);
}
