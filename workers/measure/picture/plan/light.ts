import { rgbToRgbMatrix } from '../../../../signal/gamut/convert.js';
import { gamut, type PrimariesName } from '../../../../signal/gamut/gamuts.js';
import type { Matrix3, Vector3 } from '../../../../signal/matrix3.js';
import { videoDataLevels } from '../../../../signal/quantise.js';
import { HLG_REFERENCE_DISPLAY, hlgOotf, hlgSystemGamma } from '../../../../signal/transfer/hlg-ootf.js';
import { isCameraLog, transferFunction } from '../../../../signal/transfer/transfer-functions.js';
import { lumaCoefficients } from '../../../../signal/ycbcr.js';
import type { CodeScale } from './code-scale.js';
import type { PictureMeaning } from './meaning.js';
import {
  FLOAT_BIN_BASE,
  FLOAT_BIN_SHIFT,
  FLOAT_BINS,
  LIGHT_STEP_BITS,
  POWER_SHIFT,
  PQ_BIN_BITS,
  SHORT_BITS,
  SHORT_STEPS,
} from './step-bits.js';

const STEP = 2 ** LIGHT_STEP_BITS;
const PQ_BIN = 2 ** PQ_BIN_BITS;

/** E and Y are taken so many times: their powers then stay clear of the ends of single precision. */
const POWER_LIFT = 2 ** 20;
/** Displayed light below this is black. */
const POWER_FLOOR_NITS = 2 ** -12;

/**
 * A colour is outside P3-D65 when its smallest linear P3 component is below minus this share of the largest
 * of R, G, B; what is less is noise of coding. Pixels darker than the floor are left out: a code of noise
 * there turns any hue. Common practice, no source.
 */
export const P3_TOLERANCE = 0.01;
export const P3_FLOOR_NITS = 1;

interface WithLinear {
  /** Linear light of a channel by `(step - tableFrom) >> LIGHT_STEP_BITS`; never negative. */
  readonly linear: Float32Array;
  readonly tableFrom: number;
  /**
   * The same by short sum, from the lowest code to the highest: what lies beyond counts as these. Empty where
   * there are no short sums.
   */
  readonly shortLinear: Float32Array;
}

/** PQ: max(R,G,B) is that of the codes, since the curve is monotone; bins are steps of signal. */
export interface AbsoluteLight extends WithLinear {
  readonly kind: 'absolute';
  /** cd/m2 of each bin of the histogram, the value at its middle. */
  readonly binNits: Float64Array;
  readonly p3: P3Test | null;
}

/** HLG shown on a display, by the fifth power of its light. */
export interface DisplayedLight extends WithLinear {
  readonly kind: 'displayed';
  readonly binNits: Float64Array;
  readonly luminance: Vector3;
  /** Leading bits of the fifth power of black: bin 0. */
  readonly powerBase: number;
  /** The fifth power of what is not black, and of the least light that is held against P3. */
  readonly floorPower: number;
  readonly p3FloorPower: number;
  readonly displayPeak: number;
  readonly p3: P3Test | null;
}

/** Camera logs: luminance of the scene, 0.18 is 18 % grey. Bins carry reflectance. */
export interface SceneLight extends WithLinear {
  readonly kind: 'scene';
  readonly transfer: NonNullable<PictureMeaning['transfer']>;
  readonly binReflectance: Float64Array;
  readonly luminance: Vector3;
}

export type LightPlan = AbsoluteLight | DisplayedLight | SceneLight;

export interface P3Test {
  readonly toP3: Matrix3;
  /**
   * The share of the largest of R, G, B that each of them needs for its P3 component not to be outside,
   * whatever the others are. Spares nearly every pixel the matrix.
   */
  readonly shares: Vector3;
}

/**
 * Null where the signal has no light to measure: unknown transfer, or an SDR signal, which is relative to its
 * display.
 */
export function lightPlan(meaning: PictureMeaning, scale: CodeScale): LightPlan | null {
  if (meaning.matrix === null || meaning.transfer === null) return null;
  if (meaning.transfer === 'smpte2084') return pqLight(meaning, scale);
  if (meaning.transfer === 'arib-std-b67') return hlgLight(meaning, scale);
  if (isCameraLog(meaning.transfer) && meaning.primaries !== null) {
    return logLight(meaning.transfer, meaning.primaries, scale);
  }
  return null;
}

/**
 * Exact display light in cd/m2 of one pixel, given in steps: max(R,G,B). For figures that stand for a single
 * pixel.
 */
export function exactPeak(plan: AbsoluteLight | DisplayedLight, rgbSteps: Vector3, scale: CodeScale): number {
  const signal = (step: number): number => codableSignal(step, scale);
  if (plan.kind === 'absolute') {
    const pq = transferFunction('smpte2084');
    return pq.referred === 'display' ? pq.eotf(signal(Math.max(...rgbSteps))) : Number.NaN;
  }
  const hlg = transferFunction('arib-std-b67');
  const scene = (step: number): number =>
    hlg.referred === 'scene' ? hlg.inverseOetf(signal(step)) : Number.NaN;
  const [r, g, b] = rgbSteps;
  return Math.max(...hlgOotf([scene(r), scene(g), scene(b)], HLG_REFERENCE_DISPLAY));
}

/**
 * Signal of an R', G' or B' as a display can receive it: from black up to the highest code of the depth. At
 * coloured edges the matrix gives values far above, which no interface carries; through HLG's exponential
 * they would be thousands of nits.
 */
function codableSignal(step: number, scale: CodeScale): number {
  const held = Math.min(Math.max(step, scale.black), codableTop(scale));
  return (held - scale.black) / (scale.white - scale.black);
}

/** The highest step a display can receive. */
export function codableTop({ depth, shift, white }: CodeScale): number {
  return Math.max(videoDataLevels(depth).max * 2 ** shift, white);
}

function pqLight(meaning: PictureMeaning, scale: CodeScale): AbsoluteLight {
  const { black, white } = scale;
  const bins = Math.floor((white - black + PQ_BIN / 2) / PQ_BIN) + 1;
  const pq = transferFunction('smpte2084');
  if (pq.referred !== 'display') throw new Error('PQ is a display-referred curve');
  const nits = (step: number): number => pq.eotf((step - black) / (white - black));
  const binNits = Float64Array.from({ length: bins }, (_, bin) => nits(black + bin * PQ_BIN));
  return {
    kind: 'absolute',
    binNits,
    ...linearTable(scale, nits),
    p3: p3Test(meaning),
  };
}

function hlgLight(meaning: PictureMeaning, scale: CodeScale): DisplayedLight {
  const hlg = transferFunction('arib-std-b67');
  if (hlg.referred !== 'scene') throw new Error('HLG is a scene-referred curve');
  const { peak } = HLG_REFERENCE_DISPLAY;
  if (Math.abs((hlgSystemGamma(peak) - 1) * 5 - 1) > 1e-9)
    throw new Error('no display with a system gamma of 1.2');
  const { kr, kg, kb } = lumaCoefficients('bt2020nc');
  const scene = (step: number): number => hlg.inverseOetf(codableSignal(step, scale));
  const lifted = POWER_LIFT ** 6;
  const power = (nits: number): number => Math.fround((nits / peak) ** 5 * lifted);
  const most = scene(scale.most);
  const floorPower = power(POWER_FLOOR_NITS);
  const powerBase = (floatBits(floorPower) >> POWER_SHIFT) - 1;
  // One more, for what single precision rounds up.
  const bins = (floatBits(power(peak * most ** 1.2)) >> POWER_SHIFT) - powerBase + 2;
  return {
    kind: 'displayed',
    binNits: Float64Array.from({ length: bins }, (_, bin) =>
      bin === 0 ? 0 : peak * (floatBinCentre(powerBase + bin, POWER_SHIFT) / lifted) ** (1 / 5),
    ),
    ...linearTable(scale, (step) => POWER_LIFT * scene(step)),
    luminance: [kr, kg, kb],
    powerBase,
    floorPower,
    p3FloorPower: power(P3_FLOOR_NITS),
    displayPeak: peak,
    p3: p3Test(meaning),
  };
}

function logLight(
  transfer: NonNullable<PictureMeaning['transfer']>,
  primaries: PrimariesName,
  scale: CodeScale,
): SceneLight | null {
  const curve = transferFunction(transfer);
  if (curve.referred !== 'scene') return null;
  const full = scale.topCode * 2 ** scale.shift;
  const signal = (step: number): number =>
    curve.coding === 'full-code' ? step / full : (step - scale.black) / (scale.white - scale.black);
  return {
    kind: 'scene',
    transfer,
    binReflectance: floatBinCentres(),
    ...linearTable(scale, (step) => Math.max(curve.inverseOetf(Math.min(signal(step), signal(full))), 0)),
    luminance: gamut(primaries).rgbToXyz[1],
  };
}

function linearTable(scale: CodeScale, light: (step: number) => number): WithLinear {
  // From a multiple of a table step beside black, so that black and every whole code fall on the middle of an
  // entry.
  const below = Math.ceil((scale.black - scale.least) / STEP) + 1;
  const tableFrom = scale.black - below * STEP - STEP / 2;
  const length = Math.ceil((scale.most - tableFrom) / STEP) + 2;
  const linear = Float32Array.from({ length }, (_, i) => light(tableFrom + (i + 0.5) * STEP));
  const shortLinear = Float32Array.from({ length: scale.chroma?.short ? SHORT_STEPS : 0 }, (_, i) =>
    light(i * 2 ** SHORT_BITS),
  );
  return { linear, tableFrom, shortLinear };
}

function floatBinCentres(): Float64Array {
  return Float64Array.from({ length: FLOAT_BINS + 1 }, (_, bin) =>
    bin === 0 ? 0 : floatBinCentre(FLOAT_BIN_BASE + bin, FLOAT_BIN_SHIFT),
  );
}

/** The middle of the floats whose bits begin with these. */
function floatBinCentre(bits: number, shift: number): number {
  return (floatOf(bits << shift) + floatOf((bits + 1) << shift)) / 2;
}

function floatOf(bits: number): number {
  return new Float32Array(Int32Array.of(bits).buffer)[0] ?? Number.NaN;
}

function floatBits(value: number): number {
  return new Int32Array(Float32Array.of(value).buffer)[0] ?? 0;
}

function p3Test(meaning: PictureMeaning): P3Test | null {
  if (meaning.primaries !== 'bt2020') return null;
  const toP3 = rgbToRgbMatrix('bt2020', 'smpte432');
  return { toP3, shares: sharesInside(toP3) };
}

/** In each row the own channel must outweigh the two others at their largest, less the tolerance. */
function sharesInside(toP3: Matrix3): Vector3 {
  const share = (row: Vector3, own: 0 | 1 | 2): number => {
    const pull = row.reduce((sum, factor, i) => (i === own ? sum : sum + Math.max(-factor, 0)), 0);
    return Math.max(pull - P3_TOLERANCE, 0) / row[own];
  };
  return [share(toP3[0], 0), share(toP3[1], 1), share(toP3[2], 2)];
}
