import type { PrimariesName } from '../gamut/gamuts.js';
import { decodeLuma, lumaPosition, maxCode, type RangeName } from '../quantise.js';
import type { ColourFamily } from '../transfer/transfer-function.js';
import { isCameraLog, type TransferName, transferFunction } from '../transfer/transfer-functions.js';

/** Colour of a picture, as far as a rendering needs it. */
export interface RenderingColour {
  readonly transfer: TransferName;
  readonly primaries: PrimariesName;
  readonly range: RangeName;
}

export function familyOf(transfer: TransferName): ColourFamily {
  return transferFunction(transfer).family;
}

/**
 * The depth at which camera curves are published. At other depths narrow codes are these times a power of
 * two.
 */
const PUBLISHED_DEPTH = 10;

/**
 * The signal of a curve, from the nominal signal of the picture (0 black, 1 white of its range) and back.
 * They are the same for curves defined on the nominal range. Camera logs are defined on the code as a
 * fraction of full scale (S-Log3's grey: 420 / 1023) whatever the range: in a narrow picture grey is still
 * code 420.
 */
export function signalOfNominal(nominal: number, colour: RenderingColour): number {
  return isCameraLog(colour.transfer) ? codeFractionOfNominal(nominal, colour.range) : nominal;
}
export function nominalOfSignal(signal: number, colour: RenderingColour): number {
  return isCameraLog(colour.transfer) ? nominalOfCodeFraction(signal, colour.range) : signal;
}

/**
 * Nominal signal to the fraction of full-scale code, at 10 bits: covered completely by the domain 0..1 of a
 * table.
 */
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
