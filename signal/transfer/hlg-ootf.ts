import { dot3, type Vector3 } from '../matrix3.js';
import { lumaCoefficients } from '../ycbcr.js';
import { HLG } from './hlg.js';

/** The display an HLG signal is shown on, luminances in cd/m2. */
export interface HlgDisplay {
  /** Nominal peak luminance (signal 1 in all channels). */
  readonly peak: number;
  /** Luminance of black (signal 0). */
  readonly black: number;
  /** System gamma, where it is not computed from the peak. */
  readonly gamma?: number;
}

/** The display of the standard's own examples and of BT.2408: 1,000 cd/m2. */
export const HLG_REFERENCE_DISPLAY: HlgDisplay = { peak: 1000, black: 0 };

/** ITU-R BT.2100-3 Table 5, note 5f: where the plain formula of the system gamma holds. */
const PLAIN_FROM_NITS = 400;
const PLAIN_TO_NITS = 2000;
const REFERENCE_GAMMA = 1.2;
const REFERENCE_NITS = 1000;

/**
 * System gamma of a display in the reference surround (5 cd/m2): `1.2 + 0.42 log10(Lw / 1000)` for 400 to
 * 2,000 cd/m2, and `1.2 * 1.111^log2(Lw / 1000)` outside (BT.2100-3 Table 5, notes 5e and 5f; BT.2390).
 * Throws RangeError for a peak that is not above 0.
 */
export function hlgSystemGamma(peak: number): number {
  if (!(peak > 0 && Number.isFinite(peak)))
    throw new RangeError(`an HLG display with a peak of ${peak} cd/m2`);
  const ratio = peak / REFERENCE_NITS;
  return peak >= PLAIN_FROM_NITS && peak <= PLAIN_TO_NITS
    ? REFERENCE_GAMMA + 0.42 * Math.log10(ratio)
    : REFERENCE_GAMMA * 1.111 ** Math.log2(ratio);
}

/** Black lift beta, in signal: `sqrt(3 (Lb / Lw)^(1 / gamma))` (BT.2100-3 Table 5, EOTF). */
export function hlgBlackLift(display: HlgDisplay): number {
  const { peak, black } = display;
  if (!(black >= 0 && black < peak)) {
    throw new RangeError(
      `an HLG display with black ${black} and peak ${peak} cd/m2: black must lie in 0..peak`,
    );
  }
  return Math.sqrt(3 * (black / peak) ** (1 / gammaOf(display)));
}

/**
 * Scene light R, G, B (0..1, BT.2020 primaries) to display light in cd/m2: `F = Lw Y^(gamma - 1) E`. One
 * factor for all three channels, from luminance: a gamma on each channel would shift hue and saturation.
 * Where the luminance is 0 or below (black, or a colour outside the gamut) the result is black.
 */
export function hlgOotf(scene: Vector3, display: HlgDisplay = HLG_REFERENCE_DISPLAY): Vector3 {
  const luminance = luminanceOf(scene);
  if (luminance <= 0) return [0, 0, 0];
  return scaled(scene, display.peak * luminance ** (gammaOf(display) - 1));
}

/**
 * Display light in cd/m2 to scene light: the exact inverse of `hlgOotf` wherever the luminance is above 0.
 */
export function hlgInverseOotf(nits: Vector3, display: HlgDisplay = HLG_REFERENCE_DISPLAY): Vector3 {
  const luminance = luminanceOf(nits);
  if (luminance <= 0) return [0, 0, 0];
  const gamma = gammaOf(display);
  return scaled(nits, (luminance / display.peak) ** ((1 - gamma) / gamma) / display.peak);
}

/**
 * HLG signals R', G', B' to display light in cd/m2, black lift included; signals under the lift are black.
 */
export function hlgEotf(signal: Vector3, display: HlgDisplay = HLG_REFERENCE_DISPLAY): Vector3 {
  const lift = hlgBlackLift(display);
  const sceneOf = (channel: number): number => HLG.inverseOetf(Math.max((1 - lift) * channel + lift, 0));
  return hlgOotf([sceneOf(signal[0]), sceneOf(signal[1]), sceneOf(signal[2])], display);
}

/** Display light in cd/m2 to HLG signals R', G', B'. */
export function hlgInverseEotf(nits: Vector3, display: HlgDisplay = HLG_REFERENCE_DISPLAY): Vector3 {
  const lift = hlgBlackLift(display);
  const [r, g, b] = hlgInverseOotf(nits, display);
  const signalOf = (scene: number): number => (HLG.oetf(scene) - lift) / (1 - lift);
  return [signalOf(r), signalOf(g), signalOf(b)];
}

function gammaOf({ peak, gamma }: HlgDisplay): number {
  return gamma ?? hlgSystemGamma(peak);
}

/** Luminance by the coefficients of BT.2100-3 Table 5, which are those of its luma. */
function luminanceOf(rgb: Vector3): number {
  const { kr, kg, kb } = lumaCoefficients('bt2020nc');
  return dot3([kr, kg, kb], rgb);
}

function scaled([r, g, b]: Vector3, factor: number): Vector3 {
  return [r * factor, g * factor, b * factor];
}
