import {
  type PrimariesName,
  type RangeName,
  SCENE_LOG_TRANSFERS,
  type TransferName,
} from '../colour-names.js';
import { decodeLuma, lumaPosition, maxCode } from '../quantise.js';
import { transferFunction } from '../transfer/transfer-functions.js';

/** What a rendering must know of a picture's colour. */
export interface RenderingColour {
  readonly transfer: TransferName;
  readonly primaries: PrimariesName;
  readonly range: RangeName;
}

/** How a colour is meant to be looked at, which decides what may become of it. */
export type ColourFamily = 'scene' | 'sdr' | 'pq' | 'hlg';

export function familyOf(transfer: TransferName): ColourFamily {
  if (SCENE_LOG_TRANSFERS.has(transfer) || transfer === 'linear') return 'scene';
  if (transfer === 'smpte2084') return 'pq';
  return transfer === 'arib-std-b67' ? 'hlg' : 'sdr';
}

/** The depth camera curves are published at. At other depths narrow codes are these times a power of two. */
const PUBLISHED_DEPTH = 10;

/**
 * The signal of a curve, from the nominal signal of the picture (0 black, 1 white of its range) and back. They are the
 * same for curves defined on the nominal range. Camera logs are defined on the code as a fraction of full scale
 * (S-Log3's grey: 420 / 1023) whatever the range: in a narrow picture grey is still code 420.
 */
export function signalOfNominal(nominal: number, colour: RenderingColour): number {
  return isFullCode(colour) ? codeFractionOfNominal(nominal, colour.range) : nominal;
}
export function nominalOfSignal(signal: number, colour: RenderingColour): number {
  return isFullCode(colour) ? nominalOfCodeFraction(signal, colour.range) : signal;
}

/** Nominal signal to the fraction of full-scale code, at 10 bits: what a table's domain of 0..1 covers with nothing cut off. */
export function codeFractionOfNominal(nominal: number, range: RangeName): number {
  return range === 'full'
    ? nominal
    : lumaPosition(nominal, PUBLISHED_DEPTH, range) / maxCode(PUBLISHED_DEPTH);
}
export function nominalOfCodeFraction(fraction: number, range: RangeName): number {
  return range === 'full'
    ? fraction
    : decodeLuma(fraction * maxCode(PUBLISHED_DEPTH), PUBLISHED_DEPTH, range);
}

function isFullCode({ transfer }: RenderingColour): boolean {
  const curve = transferFunction(transfer);
  return curve.referred === 'scene' && curve.coding === 'full-code';
}
