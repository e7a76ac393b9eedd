import {
  MATRIX_NAMES,
  type MatrixName,
  PRIMARIES_NAMES,
  type PrimariesName,
  TRANSFER_NAMES,
  type TransferName,
} from './colour-names.js';

/** What the numbers of a picture mean, but for the range they are coded in. */
export interface SignalColour {
  readonly transfer: TransferName;
  readonly primaries: PrimariesName;
  readonly matrix: MatrixName;
}

/**
 * The primaries each curve is published or used with, the usual one first. `null`: any (linear light).
 */
const PRIMARIES_OF: Readonly<Record<TransferName, readonly [PrimariesName, ...PrimariesName[]] | null>> = {
  bt709: ['bt709'],
  smpte170m: ['smpte170m', 'bt470bg'],
  'bt2020-10': ['bt2020'],
  'bt2020-12': ['bt2020'],
  bt1886: ['bt709', 'bt2020', 'smpte432', 'smpte170m', 'bt470bg'],
  'iec61966-2-1': ['bt709', 'smpte432'],
  linear: null,
  smpte2084: ['bt2020', 'smpte432'],
  'arib-std-b67': ['bt2020'],
  'S-Log3': ['S-Gamut3.Cine', 'S-Gamut3'],
  ACEScct: ['AP1'],
  LogC3: ['AWG3'],
  LogC4: ['AWG4'],
  'V-Log': ['V-Gamut'],
  'C-Log2': ['C-Gamut', 'bt2020', 'bt709'],
  'C-Log3': ['C-Gamut', 'bt2020', 'bt709'],
  'F-Log': ['F-Gamut'],
  'F-Log2': ['F-Gamut'],
  'N-Log': ['N-Gamut'],
  Log3G10: ['RWG'],
};

/**
 * The Y'CbCr matrix a picture of these primaries is coded with where nothing else is said. For the standards' own
 * primaries it is the standard's; P3 and the camera gamuts have none of their own and are carried with BT.709's
 * (common practice, no source). A file's own tag always wins over this.
 */
const MATRIX_OF: Readonly<Record<PrimariesName, MatrixName>> = {
  bt709: 'bt709',
  smpte170m: 'smpte170m',
  bt470bg: 'bt470bg',
  bt2020: 'bt2020nc',
  smpte432: 'bt709',
  AP0: 'gbr',
  AP1: 'gbr',
  'S-Gamut3': 'bt709',
  'S-Gamut3.Cine': 'bt709',
  AWG3: 'bt709',
  AWG4: 'bt709',
  'V-Gamut': 'bt709',
  'C-Gamut': 'bt709',
  'F-Gamut': 'bt2020nc',
  'N-Gamut': 'bt2020nc',
  RWG: 'bt709',
};

/** The primaries a curve usually comes with; null where it comes with any (linear). */
export function usualPrimaries(transfer: TransferName): PrimariesName | null {
  return PRIMARIES_OF[transfer]?.[0] ?? null;
}

/** The matrix a picture of these primaries is coded with where its file does not say. */
export function usualMatrix(primaries: PrimariesName): MatrixName {
  return MATRIX_OF[primaries];
}

/** Whether a curve is published or used with these primaries. Others can be computed but are probably a slip. */
export function isUsualPair(transfer: TransferName, primaries: PrimariesName): boolean {
  return PRIMARIES_OF[transfer]?.includes(primaries) ?? true;
}

/**
 * Reads a colour as people write it: `TRANSFER/PRIMARIES` (`S-Log3/S-Gamut3.Cine`), `TRANSFER/PRIMARIES/MATRIX`, or
 * a transfer alone for its usual pair (`bt709`, `smpte2084`). Letter case does not matter. Throws RangeError saying
 * what was given, what is nearest, and what is allowed.
 */
export function parseColour(text: string): SignalColour {
  const [transferText = '', primariesText, matrixText, ...rest] = text.trim().split('/');
  if (rest.length > 0) {
    throw new RangeError(
      `"${text}" has too many parts: write TRANSFER, TRANSFER/PRIMARIES or TRANSFER/PRIMARIES/MATRIX`,
    );
  }
  const transfer = pick(transferText, TRANSFER_NAMES, 'transfer function', text);
  const primaries =
    primariesText === undefined
      ? usualPrimaries(transfer)
      : pick(primariesText, PRIMARIES_NAMES, 'set of primaries', text);
  if (primaries === null) {
    throw new RangeError(
      `"${text}" names no primaries and ${transfer} has none of its own: write ${transfer}/bt709, for one`,
    );
  }
  const matrix =
    matrixText === undefined ? usualMatrix(primaries) : pick(matrixText, MATRIX_NAMES, 'matrix', text);
  return { transfer, primaries, matrix };
}

/** `S-Log3/S-Gamut3.Cine`: the form parseColour reads back; the matrix is written where it is not the usual one. */
export function formatColour({ transfer, primaries, matrix }: SignalColour): string {
  const pair = `${transfer}/${primaries}`;
  return matrix === usualMatrix(primaries) ? pair : `${pair}/${matrix}`;
}

function pick<Name extends string>(given: string, names: readonly Name[], kind: string, whole: string): Name {
  const wanted = given.trim().toLowerCase();
  const found = names.find((name) => name.toLowerCase() === wanted);
  if (found !== undefined) return found;
  const where = given === whole ? '' : ` in "${whole}"`;
  throw new RangeError(
    `"${given}"${where} is not a known ${kind}; nearest: ${nearestNames(given, names).join(', ')}; known: ${names.join(', ')}`,
  );
}

/** The up to three names fewest edits away, nearest first. */
function nearestNames<Name extends string>(given: string, names: readonly Name[]): Name[] {
  return names
    .map((name) => ({ name, edits: editDistance(given.toLowerCase(), name.toLowerCase()) }))
    .sort((a, b) => a.edits - b.edits)
    .slice(0, 3)
    .map(({ name }) => name);
}

/** Levenshtein distance: single-letter insertions, deletions and replacements. */
function editDistance(from: string, to: string): number {
  let previous = Array.from({ length: to.length + 1 }, (_, index) => index);
  for (const [row, letter] of [...from].entries()) {
    const current = [row + 1];
    for (const [column, other] of [...to].entries()) {
      const replaced = (previous[column] ?? 0) + (letter === other ? 0 : 1);
      current.push(Math.min(replaced, (previous[column + 1] ?? 0) + 1, (current[column] ?? 0) + 1));
    }
    previous = current;
  }
  return previous[to.length] ?? 0;
}
