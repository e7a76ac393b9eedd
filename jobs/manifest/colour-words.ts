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

/** Every name and word of the trade, `S-Log3` as `SLog3` too: what an editor offers and lets pass. */
export function offeredWords(all: readonly Named[]): string[] {
  return [...new Set(wordsOf(all).flatMap((word) => [word, word.replace(/[^A-Za-z0-9]/g, '')]))];
}

/** Where all names are listed: a mistake is answered with the nearest, not with all of them. */
export const NAMES_COMMAND = 'goodgate levels --names';

/** `the nearest is Rec.709`; where none is near, the command that lists the names there are. */
export function nearestName(all: readonly Named[], given: string): string {
  const nearest = nearestWord(given, wordsOf(all));
  return nearest === null ? `${NAMES_COMMAND} lists those there are` : `the nearest is ${nearest}`;
}

/** A colour as somebody wrote it. */
export interface WrittenColour {
  readonly transfer: TransferName;
  readonly primaries: PrimariesName;
  /** Where one was written: otherwise the file's own counts. */
  readonly matrix?: MatrixName;
}

/**
 * Reads a colour as people write it: `TRANSFER/PRIMARIES` (`S-Log3/S-Gamut3.Cine`),
 * `TRANSFER/PRIMARIES/MATRIX`, or a transfer alone for its usual pair (`Rec.709`, `PQ`). Names of H.273 and
 * words of the trade, in any spelling. Throws RangeError saying what was given and which word is nearest.
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
      `"${text}" names no primaries and ${transfer} has none of its own: write ${transfer}/bt709, for one`,
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
