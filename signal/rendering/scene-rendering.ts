import { rgbToRgbMatrix } from '../gamut/convert.js';
import type { PrimariesName } from '../gamut/gamuts.js';
import { transform3, type Vector3 } from '../matrix3.js';
import { BT709_OETF } from '../transfer/bt709.js';
import { BT1886 } from '../transfer/bt1886.js';
import { HLG } from '../transfer/hlg.js';
import { hlgInverseOotf, hlgOotf } from '../transfer/hlg-ootf.js';
import { PQ, PQ_PEAK_NITS } from '../transfer/pq.js';
import type { SceneTransfer } from '../transfer/transfer-function.js';
import { eetf } from './eetf.js';
import { convertLinear } from './linear-conversion.js';
import {
  BRIDGE_DISPLAY,
  BRIDGE_PEAK_NITS,
  HLG_LIGHT_OF_REFERENCE_WHITE,
  REFERENCE_WHITE_NITS,
  SDR_WHITE_NITS,
} from './reference-levels.js';
import { nominalOfSignal, type RenderingColour } from './rendering-colour.js';
import { sdrDisplay } from './sdr-display.js';
import { type Curve, limitedToNominal, type Step, sameCurve } from './step.js';

/** A rendering before it is completed: its steps, description, source and notes. */
export interface RenderingPlan {
  readonly steps: readonly Step[];
  readonly description: string;
  readonly source: string;
  readonly notes: readonly string[];
}

export interface SceneSource extends RenderingColour {
  readonly curve: SceneTransfer;
  /** Code fraction 0..1 to scene reflectance, exposure correction included. */
  readonly reflectance: Curve;
}

/**
 * Scene light is limited to this many times a perfect diffuser before it is rendered: 8.5 stops over 18 %
 * grey, above this no display rendering here shows a difference.
 */
const MAX_REFLECTANCE = 64;

/**
 * The brightest level the SDR rendering keeps below white: six stops over 18 % grey, where sensors clip.
 */
const SDR_STOPS_OVER_GREY = 6;
const SDR_SOURCE_PEAK = unlimitedSdrNits(0.18 * 2 ** SDR_STOPS_OVER_GREY);
const sdrRollOff = eetf({ sourcePeak: SDR_SOURCE_PEAK, targetPeak: SDR_WHITE_NITS });
const hdrRollOff = eetf({ sourcePeak: PQ_PEAK_NITS, targetPeak: BRIDGE_PEAK_NITS });

/** Scene log to a BT.1886 or sRGB display. */
export function sceneToSdr(source: SceneSource, to: RenderingColour): RenderingPlan {
  const linear = toPrimaries(source, to);
  const display = sdrDisplay(to.transfer);
  const signal: Curve = (value) => display.inverseEotf(sdrLightOfReflectance(linear.lightOf(value)));
  return {
    steps: [...linear.steps, sameCurve('BT.709 camera curve, BT.2390 roll-off', signal)],
    description: `${source.transfer}/${source.primaries} scene light through the BT.709 camera curve to ${to.transfer}/${to.primaries}, highlights rolled off from about half of white's signal up to ${SDR_STOPS_OVER_GREY} stops over grey`,
    source: `goodgate, from named parts: ITU-R BT.709-6 item 1.2 (camera curve), BT.1886 (display), Report BT.2390 (EETF, ${Math.round(SDR_SOURCE_PEAK)} to 100 cd/m2, each channel)`,
    notes: [`colours outside ${to.primaries} are limited channel by channel in linear light`],
  };
}

/**
 * The tone scale of camera log to SDR: reflectance to display light, 1 is white.
 *
 * It is our own, built from published parts. The BT.709 camera curve on a BT.1886 display is the usual
 * rendering of television, with 18 % grey at 41 % and skin a little over 60 %; but it ends at a perfect
 * diffuser, and a log picture reaches six stops over grey. So its display light, extended past white, is
 * rolled off with the EETF of BT.2390: grey stays, a 90 % card is at 81 %, and highlights reach 100 %
 * smoothly.
 */
export function sdrLightOfReflectance(reflectance: number): number {
  return sdrRollOff(unlimitedSdrNits(reflectance)) / SDR_WHITE_NITS;
}

/** What the BT.709 camera curve shows on a BT.1886 display of 100 cd/m2 that has no upper limit. */
function unlimitedSdrNits(reflectance: number): number {
  return SDR_WHITE_NITS * BT1886.eotf(BT709_OETF.oetf(Math.max(reflectance, 0)));
}

/**
 * Scene log to PQ or HLG, through the HLG system: OETF scaling, OOTF of a 1,000 cd/m2 display, roll-off to
 * its peak.
 */
export function sceneToHdr(
  source: SceneSource,
  to: RenderingColour & { family: 'pq' | 'hlg' },
): RenderingPlan {
  const linear = toPrimaries(source, to);
  const toBt2020 = primariesChange(to.primaries, 'bt2020');
  const fromBt2020 = primariesChange('bt2020', to.primaries);
  const encode =
    to.family === 'pq'
      ? (nits: Vector3) => mapped(nits, PQ.inverseEotf)
      : (nits: Vector3) => mapped(fromBt2020(hlgInverseOotf(toBt2020(nits), BRIDGE_DISPLAY)), hlgSignal);
  const decode: Curve = (value) => linear.lightOf(value) * HLG_LIGHT_OF_REFERENCE_WHITE;
  const map = (scene: Vector3): Vector3 =>
    encode(rollOffHighlights(fromBt2020(hlgOotf(toBt2020(scene), BRIDGE_DISPLAY))));
  return {
    steps: [
      ...linear.steps,
      { kind: 'mix', what: 'HLG system of 1,000 cd/m2, BT.2390 roll-off', decode, map },
      // In HLG a saturated colour at the peak exceeds the nominal peak in its own channel.
      ...(to.family === 'hlg' ? [limitedToNominal()] : []),
    ],
    description: `${source.transfer}/${source.primaries} scene light to ${to.transfer}/${to.primaries}: 100 % diffuser at ${REFERENCE_WHITE_NITS} cd/m2 (75 % HLG), 18 % grey at 26 cd/m2 (38 %), highlights rolled off above 317 cd/m2 to ${BRIDGE_PEAK_NITS} cd/m2`,
    source:
      'Report ITU-R BT.2408-8 Table 1 (levels); BT.2100-3 Table 5 (HLG OOTF, 1,000 cd/m2); Report BT.2390 (EETF, 10,000 to 1,000 cd/m2, on max(R, G, B))',
    notes: [`colours outside ${to.primaries} are limited channel by channel in linear light`],
  };
}

/** One camera colour to another: no rendering, only curve and primaries. */
export function sceneToScene(source: SceneSource, to: RenderingColour, target: SceneTransfer): RenderingPlan {
  // Logs have a little light below black (noise): leaves room for it, before and after the matrix.
  const linear = toPrimaries(source, to, -0.1);
  const signal: Curve = (value) => nominalOfSignal(target.oetf(linear.lightOf(value)), to);
  return {
    steps: [...linear.steps, sameCurve(`light to ${to.transfer}`, signal)],
    description: `${source.transfer}/${source.primaries} to ${to.transfer}/${to.primaries}: curve and primaries only`,
    source: `${source.curve.source}; ${target.source}`,
    notes: [`light above ${MAX_REFLECTANCE} times a perfect diffuser and below -10 % is limited`],
  };
}

function toPrimaries(source: SceneSource, to: RenderingColour, floor = 0) {
  const limited: Curve = (fraction) => Math.min(source.reflectance(fraction), MAX_REFLECTANCE);
  return convertLinear(limited, `${source.transfer} to scene light`, source.primaries, to.primaries, floor);
}

/** The EETF on max(R, G, B), all channels by one factor, which keeps hue and saturation. */
function rollOffHighlights(nits: Vector3): Vector3 {
  const peak = Math.max(...nits);
  if (peak <= 0) return [0, 0, 0];
  const factor = hdrRollOff(peak) / peak;
  return mapped(nits, (channel) => channel * factor);
}

function primariesChange(from: PrimariesName, to: PrimariesName): (light: Vector3) => Vector3 {
  if (from === to) return (light) => light;
  const matrix = rgbToRgbMatrix(from, to);
  return (light) => transform3(matrix, light);
}

function hlgSignal(scene: number): number {
  return HLG.oetf(Math.max(scene, 0));
}

function mapped([r, g, b]: Vector3, map: Curve): Vector3 {
  return [map(r), map(g), map(b)];
}
