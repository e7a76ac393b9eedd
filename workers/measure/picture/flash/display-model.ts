import { rgbToRgbMatrix } from '../../../../signal/gamut/convert.js';
import { gamut, type PrimariesName } from '../../../../signal/gamut/gamuts.js';
import type { Matrix3, Vector3 } from '../../../../signal/matrix3.js';
import { videoDataLevels } from '../../../../signal/quantise.js';
import { sdrDisplay } from '../../../../signal/rendering/sdr-display.js';
import { HLG } from '../../../../signal/transfer/hlg.js';
import { HLG_REFERENCE_DISPLAY, hlgSystemGamma } from '../../../../signal/transfer/hlg-ootf.js';
import { PQ, PQ_PEAK_NITS } from '../../../../signal/transfer/pq.js';
import { isCameraLog, transferFunction } from '../../../../signal/transfer/transfer-functions.js';
import { lumaCoefficients, type MatrixName } from '../../../../signal/ycbcr.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { type ChangeRule, isHdrChange, isSdrChange } from './rules.js';

/**
 * White of the SDR display, cd/m2: BT.1702-3, Annex 2, Table 1 and Figure 3 (10-bit code 400 is 20.1, 863 is
 * 160.4, 940 is 200), which 200 x signal^2.4 of BT.1886 gives back.
 */
export const SDR_WHITE_NITS = 200;

/** A display, and how the codes of a picture become its light. */
export interface FlashDisplay {
  readonly signal: 'sdr' | 'pq' | 'hlg';
  /** In words, for the result. */
  readonly display: string;
  readonly peak: number;
  readonly isChange: ChangeRule;
  readonly matrix: MatrixName;
  /** Signal of a channel to light: cd/m2, or for HLG scene light, still to pass the OOTF. */
  readonly light: (signal: number) => number;
  /** Highest signal an interface carries. */
  readonly topSignal: number;
  /** Of the display's linear R, G, B. */
  readonly luminance: Vector3;
  /** HLG: luminance Y of the scene becomes `peak * Y^gamma`. */
  readonly gamma: number | null;
  /** Linear RGB in cd/m2 to BT.709, white at 1: for the saturated red. */
  readonly toRed: Matrix3;
}

export interface NotJudged {
  readonly notJudged: string;
}

/**
 * The display a picture is meant for, or why it is not known: the picture is not meant for display, or its
 * colour is not declared.
 */
export function flashDisplay(plan: PicturePlan): FlashDisplay | NotJudged {
  const { matrix, transfer, primaries } = plan.meaning;
  if (matrix === null) return { notJudged: 'the file does not declare its Y′CbCr matrix' };
  if (transfer === null) return { notJudged: 'the file does not declare its transfer function' };
  if (isCameraLog(transfer))
    return { notJudged: `${transfer} is scene light, which is rendered before it is displayed` };
  const curve = transferFunction(transfer);
  const assumed = primaries ?? curve.primaries;
  if (assumed === null) return { notJudged: `${transfer} light defines no display` };
  const stated = { matrix, topSignal: topSignal(plan), toRed: toRed(assumed) };
  const assumption = primaries === null ? `; primaries assumed ${assumed}` : '';

  if (curve.family === 'sdr') {
    const { name, eotf } = sdrDisplay(transfer);
    return {
      ...stated,
      signal: 'sdr',
      display: `${name} display, white ${SDR_WHITE_NITS} cd/m², black 0 (BT.1702-3, Annex 2)${assumption}`,
      peak: SDR_WHITE_NITS,
      isChange: isSdrChange,
      light: (signal) => SDR_WHITE_NITS * eotf(signal),
      luminance: luminanceOf(assumed),
      gamma: null,
    };
  }
  if (curve.family === 'pq') {
    return {
      ...stated,
      signal: 'pq',
      display: `display that shows PQ as coded, up to ${PQ_PEAK_NITS} cd/m² (BT.2100-3, Table 4)${assumption}`,
      peak: PQ_PEAK_NITS,
      isChange: isHdrChange,
      light: PQ.eotf,
      luminance: luminanceOf(assumed),
      gamma: null,
    };
  }
  if (curve.family === 'hlg') {
    const { peak } = HLG_REFERENCE_DISPLAY;
    const { kr, kg, kb } = lumaCoefficients('bt2020nc');
    return {
      ...stated,
      signal: 'hlg',
      display: `HLG display of ${peak} cd/m², black 0, system gamma ${hlgSystemGamma(peak)} (BT.2100-3, Table 5)${assumption}`,
      peak,
      isChange: isHdrChange,
      light: (signal) => HLG.inverseOetf(Math.max(signal, 0)),
      luminance: [kr, kg, kb],
      gamma: hlgSystemGamma(peak),
    };
  }
  return { notJudged: `${transfer} light defines no display` };
}

export function isJudged(display: FlashDisplay | NotJudged): display is FlashDisplay {
  return !('notJudged' in display);
}

function luminanceOf(primaries: PrimariesName): Vector3 {
  return gamut(primaries).rgbToXyz[1];
}

/** At coloured edges the matrix gives values above the highest code, which no display receives. */
function topSignal({ scale, layout }: PicturePlan): number {
  const highest = videoDataLevels(layout.depth).max * 2 ** scale.shift;
  return Math.max((highest - scale.black) / (scale.white - scale.black), 1);
}

/** SDR white is 1 in HDR too: red does not depend on the peak of the display. */
function toRed(primaries: PrimariesName): Matrix3 {
  const scaled = ([a, b, c]: Vector3): Vector3 => [
    a / SDR_WHITE_NITS,
    b / SDR_WHITE_NITS,
    c / SDR_WHITE_NITS,
  ];
  const [red, green, blue] = rgbToRgbMatrix(primaries, 'bt709');
  return [scaled(red), scaled(green), scaled(blue)];
}
