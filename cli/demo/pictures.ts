import { decodeLuma, encodeLuma } from '../../signal/quantise.js';
import { type TransferName, transferFunction } from '../../signal/transfer/transfer-functions.js';
import type { Picture } from './draw-frames.js';
import { harbour, lampRoom, lighthouse } from './scenes.js';

/** Light of the lamp before a camera: six stops over a grey card's 0.18, where every log here holds. */
const LAMP = 11.5;
/** HDR white (BT.2408-7, table 1): a diffuse white surface is graded to 203 cd/m2, or 75 % HLG. */
const REFERENCE_WHITE_NITS = 203;
const HLG_WHITE_LIGHT = 0.265;
/** The lamp of the PQ master, cd/m2. Code 723 at 10 bits, 1004.2 cd/m2, is next to it (BT.2100-3 table 4). */
const PQ_LAMP_NITS = 1000;

/** From light to signal, of scene or display as the curve has it. */
function encoding(name: TransferName): (light: number) => number {
  const curve = transferFunction(name);
  return curve.referred === 'scene' ? curve.oetf : curve.inverseEotf;
}

const pq = encoding('smpte2084');
const hlg = encoding('arib-std-b67');

/** Luminance of drawn light in the PQ master, cd/m2. */
export function pqNits(light: number): number {
  return light * REFERENCE_WHITE_NITS;
}

/** The luminance a 10-bit narrow PQ file can hold nearest to `nits`: what MaxCLL must say of a flat patch. */
export function nearestCodedNits(nits: number): number {
  const curve = transferFunction('smpte2084');
  if (curve.referred !== 'display') throw new RangeError('PQ is a display curve');
  return curve.eotf(decodeLuma(encodeLuma(pq(nits), 10, 'narrow'), 10, 'narrow'));
}

/** A usual broadcast camera: BT.709, and highlights bent so that the last two stops fit below white. */
function sdrSignal(light: number): number {
  const exposed = light * 1.05;
  const knee = 0.7;
  const over = Math.max(0, exposed - knee) / (1 - knee);
  return encoding('bt709')(Math.min(exposed, knee) + (1 - knee) * (1 - Math.exp(-over / 2)));
}

/** Contrast set by eye on a monitor that lied: night skies below -5 %, the lamp and its beam above 105 %. */
function hotSignal(light: number): number {
  return Math.min(1.09, Math.max(-0.068, (sdrSignal(light) - 0.5) * 1.6 + 0.46));
}

/** Narrow Y'CbCr with chroma left, as in H.273, and what the frames declare: encoders take it from there. */
function ycbcr(matrix: 'bt709' | 'bt2020nc', format: string, declared = ''): string[] {
  const convert = `zscale=rin=full:r=limited:c=left:m=${matrix === 'bt709' ? '709' : '2020_ncl'}`;
  return [convert, `format=${format}`, `setparams=range=tv:colorspace=${matrix}${declared}`];
}

const DECLARES_BT709 = ':color_primaries=bt709:color_trc=bt709';
const declaresBt2020 = (curve: TransferName): string => `:color_primaries=bt2020:color_trc=${curve}`;

const SDR = {
  start: 0.3,
  perFrame: 1,
  primaries: 'bt709',
  signalOf: sdrSignal,
  peak: LAMP,
  grain: 1 / 876,
  coding: ycbcr('bt709', 'yuv422p10le', DECLARES_BT709),
} as const;
const HDR = { ...SDR, primaries: 'bt2020', grain: 0 } as const;

/**
 * Camera log in narrow Y'CbCr. The curve gives a signal of all codes (18 % grey is 420 of 1023), and the file
 * carries that very code, so it is read back as narrow-range R'G'B' before the matrix.
 */
function log(scene: Picture['scene'], exposure: number): Picture {
  const signalOf = (light: number) => decodeLuma(encoding('S-Log3')(light * exposure) * 1023, 10, 'narrow');
  // Like most cameras: the matrix is told, the curve is not.
  const coding = ycbcr('bt709', 'yuv422p10le');
  return { ...SDR, scene, primaries: 'S-Gamut3.Cine', signalOf, grain: 3 / 876, coding };
}

export const PICTURES = {
  nightLog: log(lighthouse(LAMP), 1),
  // Shot a stop under to hold the lens; the manifest asks for it back.
  roomLog: log(lampRoom(LAMP), 0.5),
  roomLog12: {
    ...SDR,
    scene: lampRoom(LAMP),
    start: 2.1,
    primaries: 'AWG3',
    signalOf: encoding('LogC3'),
    grain: 6 / 4095,
    coding: ['format=gbrp12le'],
  },
  // Fields are woven of two pictures; the progressive clips take the first.
  harbour: { ...SDR, scene: harbour, perFrame: 2 },
  nightSdr: { ...SDR, scene: lighthouse(LAMP) },
  nightHot: { ...SDR, scene: lighthouse(LAMP), start: 1.5, signalOf: hotSignal },
  // Eight bits in a file of ten.
  room8in10: {
    ...SDR,
    scene: lampRoom(LAMP),
    start: 0.9,
    grain: 3 / 876,
    coding: [...ycbcr('bt709', 'yuv422p', DECLARES_BT709), 'zscale', 'format=yuv422p10le'],
  },
  nightPq: {
    ...HDR,
    scene: lighthouse(PQ_LAMP_NITS / REFERENCE_WHITE_NITS),
    signalOf: (light) => pq(pqNits(light)),
    coding: ycbcr('bt2020nc', 'yuv422p10le', declaresBt2020('smpte2084')),
    peak: PQ_LAMP_NITS / REFERENCE_WHITE_NITS,
  },
  roomHlg: {
    ...HDR,
    scene: lampRoom(1 / HLG_WHITE_LIGHT),
    signalOf: (light) => hlg(light * HLG_WHITE_LIGHT),
    coding: ycbcr('bt2020nc', 'yuv422p10le', declaresBt2020('arib-std-b67')),
    peak: 1 / HLG_WHITE_LIGHT,
  },
} as const satisfies Record<string, Picture>;
export type PictureName = keyof typeof PICTURES;
