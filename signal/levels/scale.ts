import type { Named } from '../named.js';
import { decodeLuma, lumaPosition, maxCode, roundHalfAwayFromZero } from '../quantise.js';
import { HLG_LIGHT_OF_REFERENCE_WHITE, SDR_WHITE_NITS } from '../rendering/reference-levels.js';
import { BT709_OETF } from '../transfer/bt709.js';
import { BT1886 } from '../transfer/bt1886.js';
import { HLG } from '../transfer/hlg.js';
import { hlgSystemGamma } from '../transfer/hlg-ootf.js';
import { PQ } from '../transfer/pq.js';
import { SRGB } from '../transfer/srgb.js';
import { TRANSFER_FUNCTIONS, type TransferName, transferFunction } from '../transfer/transfer-functions.js';

/**
 * One grey on many scales. They are related by scene light: reflectance, where 1 is a perfect diffuser.
 *
 * - Camera curves and OETFs: their own formula.
 * - HLG: 75 % is reflectance 1 (BT.2408-8 Table 1), by its OETF; light on a display of 1,000 cd/m2.
 * - PQ: the light of that HLG picture (BT.2408-8 Table 1: 26 / 179 / 203 cd/m2 for 18 / 90 / 100 %).
 * - BT.1886 and sRGB: the light of the BT.709 camera curve on a BT.1886 display of 100 cd/m2.
 *
 * These are no renderings: highlights are not rolled off.
 */
export type ScaleName = TransferName | 'reflectance';
export const SCALES: readonly Named<ScaleName>[] = [
  ...TRANSFER_FUNCTIONS,
  { name: 'reflectance', aliases: [] },
];

const HLG_PEAK_NITS = 1000;
const HLG_GAMMA = hlgSystemGamma(HLG_PEAK_NITS);
const GREY = 0.18;
/** IEC 61966-2-1:1999 clause 4.1: the reference display's white. */
const SRGB_WHITE_NITS = 80;

interface Scale {
  readonly signalOfReflectance: (reflectance: number) => number;
  readonly reflectanceOfSignal: (signal: number) => number;
  /** Light on the reference display; null where the curve has none. */
  readonly display: {
    readonly nitsOf: (signal: number) => number;
    readonly signalOf: (nits: number) => number;
  } | null;
  readonly coding: 'narrow' | 'full-code';
}

const TELEVISION_DISPLAY: Scale['display'] = {
  nitsOf: (signal) => SDR_WHITE_NITS * BT1886.eotf(signal),
  signalOf: (nits) => BT1886.inverseEotf(nits / SDR_WHITE_NITS),
};
const TELEVISION: Scale = {
  signalOfReflectance: BT709_OETF.oetf,
  reflectanceOfSignal: BT709_OETF.inverseOetf,
  display: TELEVISION_DISPLAY,
  coding: 'narrow',
};

function hlgNits(reflectance: number): number {
  return HLG_PEAK_NITS * Math.max(reflectance * HLG_LIGHT_OF_REFERENCE_WHITE, 0) ** HLG_GAMMA;
}
function reflectanceOfHlgNits(nits: number): number {
  return (Math.max(nits, 0) / HLG_PEAK_NITS) ** (1 / HLG_GAMMA) / HLG_LIGHT_OF_REFERENCE_WHITE;
}

function scaleOf(name: TransferName): Scale {
  switch (name) {
    case 'smpte2084':
      return {
        signalOfReflectance: (reflectance) => PQ.inverseEotf(hlgNits(reflectance)),
        reflectanceOfSignal: (signal) => reflectanceOfHlgNits(PQ.eotf(signal)),
        display: { nitsOf: PQ.eotf, signalOf: PQ.inverseEotf },
        coding: 'narrow',
      };
    case 'arib-std-b67': {
      const reflectanceOfSignal = (signal: number): number =>
        HLG.inverseOetf(signal) / HLG_LIGHT_OF_REFERENCE_WHITE;
      const signalOfReflectance = (reflectance: number): number =>
        HLG.oetf(reflectance * HLG_LIGHT_OF_REFERENCE_WHITE);
      return {
        signalOfReflectance,
        reflectanceOfSignal,
        display: {
          nitsOf: (signal) => hlgNits(reflectanceOfSignal(signal)),
          signalOf: (nits) => signalOfReflectance(reflectanceOfHlgNits(nits)),
        },
        coding: 'narrow',
      };
    }
    case 'bt1886':
      return TELEVISION;
    case 'iec61966-2-1':
      return {
        signalOfReflectance: (reflectance) => SRGB.inverseEotf(BT1886.eotf(BT709_OETF.oetf(reflectance))),
        reflectanceOfSignal: (signal) => BT709_OETF.inverseOetf(BT1886.inverseEotf(SRGB.eotf(signal))),
        display: {
          nitsOf: (signal) => SRGB_WHITE_NITS * SRGB.eotf(Math.max(signal, 0)),
          signalOf: (nits) => SRGB.inverseEotf(nits / SRGB_WHITE_NITS),
        },
        coding: 'narrow',
      };
    default: {
      const curve = transferFunction(name);
      if (curve.referred !== 'scene') throw new RangeError(`${name} has no scene light`);
      return {
        signalOfReflectance: curve.oetf,
        reflectanceOfSignal: curve.inverseOetf,
        display: curve.coding === 'narrow' && name !== 'linear' ? TELEVISION_DISPLAY : null,
        coding: curve.coding,
      };
    }
  }
}

/** A level on one scale; null where a figure has no meaning there, or exceeds the codes of that depth. */
export interface LevelOnScale {
  readonly scale: ScaleName;
  readonly code8: number | null;
  readonly code10: number | null;
  readonly code12: number | null;
  /** Of the narrow range: 0 is code 64 of 1023, 100 is code 940. */
  readonly percent: number | null;
  readonly nits: number | null;
  /** Scene light, 1 is a perfect diffuser. */
  readonly reflectance: number | null;
  /** From 18 % grey. */
  readonly stops: number | null;
}

/** Scene light on a scale. */
export function levelOnScale(name: ScaleName, reflectance: number): LevelOnScale {
  const light = { reflectance, stops: reflectance > 0 ? Math.log2(reflectance / GREY) : null };
  if (name === 'reflectance') {
    return { scale: name, code8: null, code10: null, code12: null, percent: null, nits: null, ...light };
  }
  const scale = scaleOf(name);
  const signal = scale.signalOfReflectance(reflectance);
  const code10 = codeOf(signal, 10, scale.coding);
  const codable = code10 !== null;
  return {
    scale: name,
    code8: codable ? codeOf(signal, 8, scale.coding) : null,
    code10,
    code12: codable ? codeOf(signal, 12, scale.coding) : null,
    percent: codable ? percentOf(signal, scale.coding) : null,
    nits: codable && scale.display ? scale.display.nitsOf(signal) : null,
    ...light,
  };
}

function codeOf(signal: number, depth: number, coding: Scale['coding']): number | null {
  const position = coding === 'narrow' ? lumaPosition(signal, depth, 'narrow') : signal * maxCode(depth);
  const code = roundHalfAwayFromZero(position);
  return code >= 0 && code <= maxCode(depth) ? code : null;
}

/**
 * Percent of the 10-bit narrow range; for a curve on full-scale code this is what a waveform monitor shows.
 */
function percentOf(signal: number, coding: Scale['coding']): number {
  return 100 * (coding === 'narrow' ? signal : decodeLuma(signal * maxCode(10), 10, 'narrow'));
}

/** From a figure on a scale to scene light. Throws RangeError where the scale has no such figure. */
export function reflectanceOfPercent(name: TransferName, percent: number): number {
  const scale = scaleOf(name);
  const nominal = percent / 100;
  return scale.reflectanceOfSignal(
    scale.coding === 'narrow' ? nominal : lumaPosition(nominal, 10, 'narrow') / maxCode(10),
  );
}

export function reflectanceOfCode(name: TransferName, code: number, depth: number): number {
  const scale = scaleOf(name);
  if (code > maxCode(depth))
    throw new RangeError(`code ${code} does not fit in ${depth} bits: 0 to ${maxCode(depth)} do`);
  return scale.reflectanceOfSignal(
    scale.coding === 'narrow' ? decodeLuma(code, depth, 'narrow') : code / maxCode(depth),
  );
}

export function reflectanceOfNits(name: TransferName, nits: number): number {
  const scale = scaleOf(name);
  if (!scale.display) {
    throw new RangeError(`${name} is a camera curve and belongs to no display: cd/m2 has no meaning on it`);
  }
  return scale.reflectanceOfSignal(scale.display.signalOf(nits));
}

export function reflectanceOfStops(stops: number): number {
  return GREY * 2 ** stops;
}
