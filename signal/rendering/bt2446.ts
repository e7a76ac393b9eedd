import { gamut } from '../gamut/gamuts.js';
import { dot3, type Matrix3, transform3, type Vector3 } from '../matrix3.js';
import { rgbToYcbcr, ycbcrToRgb } from '../ycbcr.js';

/**
 * Tone mappings of Report ITU-R BT.2446-1: HDR of up to 1,000 cd/m2 to SDR of 100 cd/m2. Both convert display
 * light R, G, B in cd/m2 (BT.2020 primaries) to SDR signals R'G'B' of BT.2020 primaries for a BT.1886
 * display; 1 is 100 %.
 */
export const BT2446_HDR_PEAK = 1000;
export const BT2446_SDR_PEAK = 100;
const GAMMA = 2.4;

/** Method A: compresses luma perceptually, then corrects colour for the change. */
export function bt2446MethodA(nits: Vector3): Vector3 {
  const hdr = mapped(
    nits,
    (light) => (Math.min(Math.max(light, 0), BT2446_HDR_PEAK) / BT2446_HDR_PEAK) ** (1 / GAMMA),
  );
  const [luma, cb, cr] = rgbToYcbcr(hdr, 'bt2020nc');
  if (luma <= 0) return [0, 0, 0];
  const sdrLuma = bt2446MethodALuma(luma);
  // rgbToYcbcr divides the colour differences by 1.8814 and 1.4746 as the Report does.
  const scale = sdrLuma / (1.1 * luma);
  const sdrCb = scale * cb;
  const sdrCr = scale * cr;
  // The Report takes a tenth of the normalised Cr from the luma of reds (transcriptions differ; this is the
  // Report from memory).
  return mapped(ycbcrToRgb([sdrLuma - Math.max(0.1 * sdrCr, 0), sdrCb, sdrCr], 'bt2020nc'), (v) =>
    Math.max(v, 0),
  );
}

/**
 * Luma of method A: HDR luma 0..1 to SDR luma 0..1. With the printed constants there are steps of 6e-4 at the
 * joins.
 */
export function bt2446MethodALuma(luma: number): number {
  const rhoHdr = rho(BT2446_HDR_PEAK);
  const rhoSdr = rho(BT2446_SDR_PEAK);
  const perceptual = Math.log(1 + (rhoHdr - 1) * luma) / Math.log(rhoHdr);
  return (rhoSdr ** toneCurve(perceptual) - 1) / (rhoSdr - 1);
}

function rho(peak: number): number {
  return 1 + 32 * (peak / 10_000) ** (1 / GAMMA);
}

function toneCurve(y: number): number {
  if (y <= 0.7399) return 1.077 * y;
  if (y < 0.9909) return -1.151 * y * y + 2.7811 * y - 0.6302;
  return 0.5 * y + 0.5;
}

/**
 * Method C: linear up to about 58 % of SDR white, logarithmic above; 1,000 cd/m2 lands at 118 cd/m2 (107 %).
 */
const K1 = 0.83802;
const K2 = 15.09968;
const K3 = 0.74204;
const K4 = 78.99439;
const SDR_INFLECTION = 58.5;
/**
 * Crosstalk: the mapped luminance weights the channels nearly equally, so that saturated highlights are
 * compressed too.
 */
const CROSSTALK = 0.33;
const CROSSTALK_MATRIX: Matrix3 = [
  [1 - 2 * CROSSTALK, CROSSTALK, CROSSTALK],
  [CROSSTALK, 1 - 2 * CROSSTALK, CROSSTALK],
  [CROSSTALK, CROSSTALK, 1 - 2 * CROSSTALK],
];

/**
 * Method C without its optional chroma correction above reference white. Constants from memory, mutually
 * consistent; output above 100 % is kept: the narrow range has codes for it.
 */
export function bt2446MethodC(nits: Vector3): Vector3 {
  const light = mapped(nits, (channel) => Math.max(channel, 0));
  const luminance = dot3(gamut('bt2020').rgbToXyz[1], transform3(CROSSTALK_MATRIX, light));
  if (luminance <= 0) return [0, 0, 0];
  // Scaling keeps chromaticity, so the inverse crosstalk of the Report only cancels the crosstalk: the factor
  // remains.
  const factor = bt2446MethodCLuminance(luminance) / luminance;
  return mapped(light, (channel) => ((channel * factor) / BT2446_SDR_PEAK) ** (1 / GAMMA));
}

/** Luminance of method C, cd/m2 to cd/m2. */
export function bt2446MethodCLuminance(luminance: number): number {
  const inflection = SDR_INFLECTION / K1;
  return luminance < inflection ? K1 * luminance : K2 * Math.log(luminance / inflection - K3) + K4;
}

function mapped([r, g, b]: Vector3, map: (value: number) => number): Vector3 {
  return [map(r), map(g), map(b)];
}
