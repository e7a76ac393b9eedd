import { GAMUTS, type PrimariesName } from '../../signal/gamut/gamuts.js';
import { SCALES, type ScaleName } from '../../signal/levels/scale.js';
import { findNamed, type Named } from '../../signal/named.js';
import {
  TRANSFER_FUNCTIONS,
  type TransferName,
  transferFunction,
} from '../../signal/transfer/transfer-functions.js';
import { MATRICES, type MatrixName } from '../../signal/ycbcr.js';
import { nearestWord } from '../documents/document-problems.js';

/** Every name and every other word for it. */
export function wordsOf(all: readonly Named[]): string[] {
  return all.flatMap(({ name, aliases }) => [name, ...aliases]);
}

/** Every name and trade name, `S-Log3` also as `SLog3`: what an editor offers and accepts. */
export function offeredWords(all: readonly Named[]): string[] {
  return [...new Set(wordsOf(all).flatMap((word) => [word, word.replace(/[^A-Za-z0-9]/g, '')]))];
}

/** Lists all names: an error gives only the nearest one, not all of them. */
export const NAMES_COMMAND = 'goodgate levels --names';

/** `the nearest is Rec.709`; otherwise the command that lists all names. */
export function nearestName(all: readonly Named[], given: string): string {
  const nearest = nearestWord(given, wordsOf(all));
  return nearest === null ? `${NAMES_COMMAND} lists those there are` : `the nearest is ${nearest}`;
}

/** A colour as written by a person. */
export interface WrittenColour {
  readonly transfer: TransferName;
  readonly primaries: PrimariesName;
  /** Where one was written; otherwise the matrix of the file applies. */
  readonly matrix?: MatrixName;
}

/**
 * Reads a colour as people write it: `TRANSFER/PRIMARIES` (`S-Log3/S-Gamut3.Cine`),
 * `TRANSFER/PRIMARIES/MATRIX`, or a transfer function alone, which stands for its usual primaries too
 * (`Rec.709`, `PQ`). H.273 names and trade names, in any spelling. Throws RangeError with what was given and
 * what is nearest.
 */
export function parseColour(text: string): WrittenColour {
  const [transferText = '', primariesText, matrixText, ...rest] = text.trim().split('/');
  if (rest.length > 0) {
    throw new RangeError(
      `"${text}" has too many parts: write TRANSFER, TRANSFER/PRIMARIES or TRANSFER/PRIMARIES/MATRIX`,
    );
  }
  const transfer = pick(transferText, TRANSFER_FUNCTIONS, 'transfer function', text);
  const primaries =
    primariesText === undefined
      ? transferFunction(transfer).primaries
      : pick(primariesText, GAMUTS, 'set of primaries', text);
  if (primaries === null) {
    throw new RangeError(
      `"${text}" names no primaries and ${transfer} has no usual ones: write for example ${transfer}/bt709`,
    );
  }
  if (matrixText === undefined) return { transfer, primaries };
  return { transfer, primaries, matrix: pick(matrixText, MATRICES, 'matrix', text) };
}

/**
 * Reads the scale of a level: a transfer function as people write it, or `reflectance`. RangeError as above.
 */
export function parseScale(text: string): ScaleName {
  return pick(text, SCALES, 'scale', text);
}

function pick<Name extends string>(
  given: string,
  all: readonly Named<Name>[],
  kind: string,
  whole: string,
): Name {
  const found = findNamed(all, given);
  if (found !== null) return found.name;
  const where = given === whole ? '' : ` in "${whole}"`;
  throw new RangeError(`"${given}"${where} is not a known ${kind}; ${nearestName(all, given)}`);
}
