import { rgbToRgbMatrix } from '../../signal/gamut/convert.js';
import type { PrimariesName } from '../../signal/gamut/gamuts.js';
import { decodeLuma, encodeLuma } from '../../signal/quantise.js';
import type { DisplayTransfer } from '../../signal/transfer/transfer-function.js';
import { type TransferName, transferFunction } from '../../signal/transfer/transfer-functions.js';
import { lumaCoefficients, type YcbcrMatrixName } from '../../signal/ycbcr.js';
import type { PictureCoding, Take } from './draw-frames.js';
import { darker, harbour, lampRoom, lighthouse } from './scenes.js';

/** Sixteen by nine, and a multiple of sixteen both ways: every codec of the demo takes it. */
export const WIDTH = 512;
export const HEIGHT = 288;
const FRAMES = 40;

/** A picture drawn once; several clips can be made of it. */
export interface Picture {
  readonly take: Take;
  readonly coding: PictureCoding;
  /** ffmpeg's name of the raw planes `drawFrames` writes for this coding. */
  readonly pixelFormat: string;
}

/**
 * Light of the lamp in scenes a camera exposes: six stops over a grey card's 0.18, where every log here still
 * holds.
 */
const LAMP = 11.5;

/** HDR white (BT.2408-7, table 1): a diffuse white surface is graded to 203 cd/m2, or 75 % HLG. */
const REFERENCE_WHITE_NITS = 203;
/**
 * The lamp of the PQ master. PQ code 723 at 10 bits, 1004.2 cd/m2, is the nearest to it (BT.2100-3 table 4).
 */
const PQ_LAMP_NITS = 1000;
const HLG_WHITE_LIGHT = 0.265;

function take(part: Partial<Take> & Pick<Take, 'scene'>): Take {
  return { frames: FRAMES, frameSeconds: 1 / 25, startSeconds: 0.3, interlaced: false, ...part };
}

function sceneCurve(name: TransferName): (light: number) => number {
  const curve = transferFunction(name);
  if (curve.referred !== 'scene') throw new RangeError(`${name} is a display curve, the demo films a scene`);
  return curve.oetf;
}

function pqCurve(): DisplayTransfer {
  const curve = transferFunction('smpte2084');
  if (curve.referred !== 'display') throw new RangeError('smpte2084 is not a display curve');
  return curve;
}

function ycbcr(matrix: YcbcrMatrixName): PictureCoding['model'] {
  const { kr, kb } = lumaCoefficients(matrix);
  return { kind: 'ycbcr', kr, kb };
}

function gamutTo(primaries: PrimariesName): readonly number[] | null {
  return primaries === 'bt709' ? null : rgbToRgbMatrix('bt709', primaries).flat();
}

const SIZE = { width: WIDTH, height: HEIGHT } as const;

/**
 * Camera log in narrow Y'CbCr. The curves give a signal of all codes (18 % grey of S-Log3 is 420 of 1023),
 * and the file carries that very code, so it is read back as narrow-range R'G'B' before the matrix.
 */
function logCoding(transfer: TransferName, primaries: PrimariesName): PictureCoding {
  const oetf = sceneCurve(transfer);
  return {
    ...SIZE,
    depth: 10,
    model: ycbcr('bt709'),
    chroma: '4:2:2',
    gamut: gamutTo(primaries),
    signalOf: (light) => decodeLuma(oetf(light) * 1023, 10, 'narrow'),
    peak: LAMP,
    grain: 3,
  };
}

/**
 * A usual broadcast camera: BT.709 curve, and highlights bent so that the last two stops fit below nominal
 * white.
 */
export function sdrSignal(light: number): number {
  const oetf = sceneCurve('bt709');
  const exposed = light * 1.05;
  const knee = 0.7;
  const bent =
    exposed <= knee ? exposed : knee + (1 - knee) * (1 - Math.exp((knee - exposed) / (1 - knee) / 2));
  return oetf(bent);
}

const sdr: PictureCoding = {
  ...SIZE,
  depth: 10,
  model: ycbcr('bt709'),
  chroma: '4:2:2',
  gamut: null,
  signalOf: sdrSignal,
  peak: LAMP,
  grain: 1,
};

/** Contrast set by eye on a monitor that lied: night skies below -5 %, the lamp and its beam above 105 %. */
function hotSignal(light: number): number {
  return Math.min(1.12, (sdrSignal(light) - 0.5) * 1.6 + 0.46);
}

const hdr: PictureCoding = {
  ...SIZE,
  depth: 10,
  model: ycbcr('bt2020nc'),
  chroma: '4:2:2',
  gamut: gamutTo('bt2020'),
  signalOf: (light) => light,
  peak: 1,
  grain: 0,
};

function pqSignal(light: number): number {
  return pqCurve().inverseEotf(pqNits(light));
}

export const PICTURES = {
  nightLog: {
    take: take({ scene: lighthouse(LAMP) }),
    coding: logCoding('S-Log3', 'S-Gamut3.Cine'),
    pixelFormat: 'yuv422p10le',
  },
  roomLog: {
    // Shot a stop under to hold the lens; the manifest asks for it back.
    take: take({ scene: (t) => darker(lampRoom(LAMP)(t), 0.5) }),
    coding: logCoding('S-Log3', 'S-Gamut3.Cine'),
    pixelFormat: 'yuv422p10le',
  },
  roomLog12: {
    take: take({ scene: lampRoom(LAMP), startSeconds: 2.1 }),
    coding: {
      ...SIZE,
      depth: 12,
      model: { kind: 'rgb' },
      chroma: '4:4:4',
      gamut: gamutTo('AWG3'),
      signalOf: sceneCurve('LogC3'),
      peak: LAMP,
      grain: 6,
    },
    pixelFormat: 'gbrp12le',
  },
  harbour8: {
    take: take({ scene: harbour }),
    coding: { ...sdr, depth: 8, chroma: '4:2:0', grain: 0.5 },
    pixelFormat: 'yuv420p',
  },
  harbourFields: {
    take: take({ scene: harbour, interlaced: true, startSeconds: 0.8 }),
    coding: sdr,
    pixelFormat: 'yuv422p10le',
  },
  nightSdr: { take: take({ scene: lighthouse(LAMP) }), coding: sdr, pixelFormat: 'yuv422p10le' },
  nightHot: {
    take: take({ scene: lighthouse(LAMP), startSeconds: 1.5 }),
    coding: { ...sdr, signalOf: hotSignal },
    pixelFormat: 'yuv422p10le',
  },
  room8in10: {
    take: take({ scene: lampRoom(LAMP), startSeconds: 0.9 }),
    coding: { ...sdr, effectiveDepth: 8, grain: 3 },
    pixelFormat: 'yuv422p10le',
  },
  nightPq: {
    take: take({ scene: lighthouse(PQ_LAMP_NITS / REFERENCE_WHITE_NITS) }),
    coding: { ...hdr, signalOf: pqSignal, peak: PQ_LAMP_NITS / REFERENCE_WHITE_NITS },
    pixelFormat: 'yuv422p10le',
  },
  roomHlg: {
    take: take({ scene: lampRoom(1 / HLG_WHITE_LIGHT) }),
    coding: {
      ...hdr,
      signalOf: (light) => sceneCurve('arib-std-b67')(light * HLG_WHITE_LIGHT),
      peak: 1 / HLG_WHITE_LIGHT,
    },
    pixelFormat: 'yuv422p10le',
  },
} as const satisfies Record<string, Picture>;
export type PictureName = keyof typeof PICTURES;

/** Luminance of drawn light in the PQ master, cd/m2. */
export function pqNits(light: number): number {
  return light * REFERENCE_WHITE_NITS;
}

/** The luminance a 10-bit narrow PQ file can hold nearest to `nits`: what MaxCLL must say of a flat patch. */
export function nearestCodedNits(nits: number): number {
  const curve = pqCurve();
  return curve.eotf(decodeLuma(encodeLuma(curve.inverseEotf(nits), 10, 'narrow'), 10, 'narrow'));
}
