import { FLOAT_BIN_BASE, FLOAT_BINS, PQ_BIN_BITS, SHORT_BITS, SHORT_STEPS } from '../../plan/step-bits';
import { Job } from '../records';

/**
 * Numbers as vectors, eight or four times the same: each is then a single load, from a number, a constant
 * too, it is three more instructions each time round a loop.
 */
class Splats {
  /** Of eight shorts. */
  topCodes: v128;
  neutrals: v128;
  chromaUps: v128;
  crToReds: v128;
  cbToBlues: v128;
  /** Those of Cb and Cr in turn. */
  toGreens: v128;
  /** Short steps of a code. */
  codeShorts: v128;
  /** Codes of black from which R', G', B' are counted, in short steps. */
  rgbFroms: v128;
  pairStrides: v128;
  /** Spreads within P3. */
  baseReds: v128;
  baseGreens: v128;
  baseBlues: v128;
  slopeReds: v128;
  slopeGreens: v128;
  slopeBlues: v128;
  capReds: v128;
  capGreens: v128;
  capBlues: v128;
  lightLasts: v128;
  /** The last entry of the table of light by short sum. */
  shortLasts: v128;

  /** Of four numbers: those of the exact matrix, and what makes steps of codes. */
  topCodes4: v128;
  neutrals4: v128;
  codeSteps4: v128;
  crToReds4: v128;
  cbToGreens4: v128;
  crToGreens4: v128;
  cbToBlues4: v128;
  baseReds4: v128;
  baseGreens4: v128;
  baseBlues4: v128;
  slopeReds4: v128;
  slopeGreens4: v128;
  slopeBlues4: v128;
  capReds4: v128;
  capGreens4: v128;
  capBlues4: v128;
  lightFroms4: v128;
  lightLasts4: v128;
  /** Bins of PQ light to a code, and the bin of code 0. */
  codeBins4: v128;
  zeroBins4: v128;
  tableFroms4: v128;
  powerBases4: v128;
  floatBases4: v128;
  floatLasts4: v128;
  lumaReds4: v128;
  lumaGreens4: v128;
  lumaBlues4: v128;
}

/** Those of the job that is worked on. */
export const splats = changetype<Splats>(memory.data(offsetof<Splats>(), 16));

export function makeSplats(job: Job): void {
  const to = splats;
  const picture = job.picture;
  const matrix = job.matrix;
  const short = job.shortMatrix;
  const light = job.light;
  to.topCodes = i16x8.splat(<i16>picture.topCode);
  to.neutrals = i16x8.splat(<i16>matrix.neutral);
  to.chromaUps = i16x8.splat(<i16>short.chroma);
  to.crToReds = i16x8.splat(<i16>short.crToRed);
  to.cbToBlues = i16x8.splat(<i16>short.cbToBlue);
  to.toGreens = i32x4.splat((short.cbToGreen & 0xffff) | (short.crToGreen << 16));
  to.codeShorts = i16x8.splat(<i16>((<i32>1) << (picture.codeShift - SHORT_BITS)));
  to.rgbFroms = i16x8.splat(<i16>(job.rgb.from >> SHORT_BITS));
  to.pairStrides = i16x8.splat(<i16>(job.histograms.pairStride >> 2));
  to.lightLasts = i16x8.splat(<i16>light.lastBin);
  to.shortLasts = i16x8.splat(<i16>(SHORT_STEPS - 1));

  to.topCodes4 = i32x4.splat(picture.topCode);
  to.neutrals4 = i32x4.splat(matrix.neutral);
  // A product is quicker than a shift by a width that is no constant.
  to.codeSteps4 = i32x4.splat(1 << picture.codeShift);
  to.crToReds4 = i32x4.splat(matrix.crToRed);
  to.cbToGreens4 = i32x4.splat(matrix.cbToGreen);
  to.crToGreens4 = i32x4.splat(matrix.crToGreen);
  to.cbToBlues4 = i32x4.splat(matrix.cbToBlue);
  to.lightFroms4 = i32x4.splat(light.from);
  to.lightLasts4 = i32x4.splat(light.lastBin);
  to.codeBins4 = i32x4.splat(1 << max(picture.codeShift - PQ_BIN_BITS, 0));
  to.zeroBins4 = i32x4.splat(-light.from >> PQ_BIN_BITS);
  to.tableFroms4 = i32x4.splat(light.tableFrom);
  to.powerBases4 = i32x4.splat(light.powerBase);
  to.floatBases4 = i32x4.splat(FLOAT_BIN_BASE);
  to.floatLasts4 = i32x4.splat(FLOAT_BINS);
  to.lumaReds4 = f32x4.splat(light.red);
  to.lumaGreens4 = f32x4.splat(light.green);
  to.lumaBlues4 = f32x4.splat(light.blue);
  splatSpreads(job);
}

function splatSpreads(job: Job): void {
  const to = splats;
  const red = job.p3.red;
  const green = job.p3.green;
  const blue = job.p3.blue;
  to.baseReds = i16x8.splat(<i16>red.shortBase);
  to.baseGreens = i16x8.splat(<i16>green.shortBase);
  to.baseBlues = i16x8.splat(<i16>blue.shortBase);
  to.slopeReds = i16x8.splat(<i16>red.shortSlope);
  to.slopeGreens = i16x8.splat(<i16>green.shortSlope);
  to.slopeBlues = i16x8.splat(<i16>blue.shortSlope);
  to.capReds = i16x8.splat(<i16>red.shortCap);
  to.capGreens = i16x8.splat(<i16>green.shortCap);
  to.capBlues = i16x8.splat(<i16>blue.shortCap);
  to.baseReds4 = i32x4.splat(red.base);
  to.baseGreens4 = i32x4.splat(green.base);
  to.baseBlues4 = i32x4.splat(blue.base);
  to.slopeReds4 = i32x4.splat(red.slope);
  to.slopeGreens4 = i32x4.splat(green.slope);
  to.slopeBlues4 = i32x4.splat(blue.slope);
  to.capReds4 = i32x4.splat(red.cap);
  to.capGreens4 = i32x4.splat(green.cap);
  to.capBlues4 = i32x4.splat(blue.cap);
}
