import type { ColourTags } from '../../../jobs/manifest/colour.js';
import { GAMUTS } from '../../../signal/gamut/gamuts.js';
import { TRANSFER_FUNCTIONS } from '../../../signal/transfer/transfer-functions.js';
import { MATRICES } from '../../../signal/ycbcr.js';

/**
 * Code points of ITU-T H.273 (tables 2, 3 and 4; from memory) in ffmpeg's spelling, so that a tag read from a
 * box has the same name as one read by ffprobe. Code point 2 is "unspecified", 0 and 3 are reserved: no name.
 * Listed here are those for which goodgate has no curve, primaries or matrix.
 */
const PRIMARIES: ReadonlyMap<number, string> = withOurs(GAMUTS, {
  4: 'bt470m',
  7: 'smpte240m',
  8: 'film',
  10: 'smpte428',
  11: 'smpte431',
  22: 'ebu3213',
});
const TRANSFERS: ReadonlyMap<number, string> = withOurs(TRANSFER_FUNCTIONS, {
  4: 'bt470m',
  5: 'bt470bg',
  7: 'smpte240m',
  9: 'log100',
  10: 'log316',
  11: 'iec61966-2-4',
  12: 'bt1361e',
  17: 'smpte428',
});
const MATRIX_WORDS: ReadonlyMap<number, string> = withOurs(MATRICES, {
  4: 'fcc',
  7: 'smpte240m',
  8: 'ycgco',
  10: 'bt2020c',
  11: 'smpte2085',
  12: 'chroma-derived-nc',
  13: 'chroma-derived-c',
  14: 'ictcp',
});

function withOurs(
  ours: readonly { readonly name: string; readonly codePoint: number | null }[],
  others: Readonly<Record<number, string>>,
): Map<number, string> {
  const words = new Map(Object.entries(others).map(([point, word]) => [Number(point), word]));
  for (const { name, codePoint } of ours) if (codePoint !== null) words.set(codePoint, name);
  return words;
}

/** `fullRange` is null where a layer has no such flag. */
export function tagsOfCodePoints(
  primaries: number,
  transfer: number,
  matrix: number,
  fullRange: boolean | null,
): ColourTags {
  return {
    primaries: PRIMARIES.get(primaries) ?? null,
    transfer: TRANSFERS.get(transfer) ?? null,
    matrix: MATRIX_WORDS.get(matrix) ?? null,
    range: fullRange === null ? null : fullRange ? 'full' : 'narrow',
  };
}
