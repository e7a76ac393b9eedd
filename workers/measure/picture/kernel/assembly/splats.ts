import { SHORT_BITS } from './shifts';
import { SHORT_STEPS } from './sizes';
import * as s from './state';

// Vectors of one number eight or four times, made once: from a global of its own a vector is a single load, from a number it is three more
// instructions each time round a loop.

/** Of eight shorts. */
export let topCodes: v128 = i16x8.splat(0);
export let neutrals: v128 = i16x8.splat(0);
export let chromaUps: v128 = i16x8.splat(0);
export let crToReds: v128 = i16x8.splat(0);
export let cbToBlues: v128 = i16x8.splat(0);
/** Those of Cb and Cr in turn. */
export let toGreens: v128 = i16x8.splat(0);
/** Short steps of a code. */
export let codeShorts: v128 = i16x8.splat(0);
/** Codes of black from which R', G', B' are counted, in short steps. */
export let rgbFroms: v128 = i16x8.splat(0);
export let pairStrides: v128 = i16x8.splat(0);
/** See `spreadBaseRed` in state.ts. */
export let baseReds: v128 = i16x8.splat(0);
export let baseGreens: v128 = i16x8.splat(0);
export let baseBlues: v128 = i16x8.splat(0);
export let capReds: v128 = i16x8.splat(0);
export let capGreens: v128 = i16x8.splat(0);
export let capBlues: v128 = i16x8.splat(0);
export let slopeReds: v128 = i16x8.splat(0);
export let slopeGreens: v128 = i16x8.splat(0);
export let slopeBlues: v128 = i16x8.splat(0);
export let lightLasts: v128 = i16x8.splat(0);
/** The last entry of the table of light by short sum. */
export let shortLasts: v128 = i16x8.splat(0);

/** Of four numbers. */
export let powerBases: v128 = i32x4.splat(0);
export let lumaReds: v128 = f32x4.splat(0);
export let lumaGreens: v128 = f32x4.splat(0);
export let lumaBlues: v128 = f32x4.splat(0);

export function makeSplats(): void {
  topCodes = i16x8.splat(<i16>s.topCode);
  neutrals = i16x8.splat(<i16>s.neutral);
  chromaUps = i16x8.splat(<i16>s.shortChroma);
  crToReds = i16x8.splat(<i16>s.shortCrToRed);
  cbToBlues = i16x8.splat(<i16>s.shortCbToBlue);
  toGreens = i32x4.splat((s.shortCbToGreen & 0xffff) | (s.shortCrToGreen << 16));
  codeShorts = i16x8.splat(<i16>((<i32>1) << (s.codeShift - SHORT_BITS)));
  rgbFroms = i16x8.splat(<i16>(s.rgbFrom >> SHORT_BITS));
  pairStrides = i16x8.splat(<i16>(s.codeStride >> 2));
  baseReds = i16x8.splat(<i16>s.shortBaseRed);
  baseGreens = i16x8.splat(<i16>s.shortBaseGreen);
  baseBlues = i16x8.splat(<i16>s.shortBaseBlue);
  capReds = i16x8.splat(<i16>s.shortCapRed);
  capGreens = i16x8.splat(<i16>s.shortCapGreen);
  capBlues = i16x8.splat(<i16>s.shortCapBlue);
  slopeReds = i16x8.splat(<i16>s.shortSlopeRed);
  slopeGreens = i16x8.splat(<i16>s.shortSlopeGreen);
  slopeBlues = i16x8.splat(<i16>s.shortSlopeBlue);
  lightLasts = i16x8.splat(<i16>s.lightLastBin);
  shortLasts = i16x8.splat(<i16>(SHORT_STEPS - 1));
  powerBases = i32x4.splat(s.powerBase);
  lumaReds = f32x4.splat(<f32>s.lumaRed);
  lumaGreens = f32x4.splat(<f32>s.lumaGreen);
  lumaBlues = f32x4.splat(<f32>s.lumaBlue);
}
