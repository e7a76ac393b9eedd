import type { ColourTags } from '../../jobs/manifest/colour.js';

/**
 * Code points of ITU-T H.273 (tables 2, 3 and 4; from memory) in ffmpeg's spelling, so that a tag read from a box and one
 * that ffprobe read are the same word. Code point 2 is "unspecified", 0 and 3 are reserved: no word.
 */
const PRIMARIES: Readonly<Record<number, string>> = {
  1: 'bt709',
  4: 'bt470m',
  5: 'bt470bg',
  6: 'smpte170m',
  7: 'smpte240m',
  8: 'film',
  9: 'bt2020',
  10: 'smpte428',
  11: 'smpte431',
  12: 'smpte432',
  22: 'ebu3213',
};
const TRANSFERS: Readonly<Record<number, string>> = {
  1: 'bt709',
  4: 'bt470m',
  5: 'bt470bg',
  6: 'smpte170m',
  7: 'smpte240m',
  8: 'linear',
  9: 'log100',
  10: 'log316',
  11: 'iec61966-2-4',
  12: 'bt1361e',
  13: 'iec61966-2-1',
  14: 'bt2020-10',
  15: 'bt2020-12',
  16: 'smpte2084',
  17: 'smpte428',
  18: 'arib-std-b67',
};
const MATRICES: Readonly<Record<number, string>> = {
  0: 'gbr',
  1: 'bt709',
  4: 'fcc',
  5: 'bt470bg',
  6: 'smpte170m',
  7: 'smpte240m',
  8: 'ycgco',
  9: 'bt2020nc',
  10: 'bt2020c',
  11: 'smpte2085',
  12: 'chroma-derived-nc',
  13: 'chroma-derived-c',
  14: 'ictcp',
};

/** `fullRange` is null where a layer has no such flag. */
export function tagsOfCodePoints(
  primaries: number,
  transfer: number,
  matrix: number,
  fullRange: boolean | null,
): ColourTags {
  return {
    primaries: PRIMARIES[primaries] ?? null,
    transfer: TRANSFERS[transfer] ?? null,
    matrix: MATRICES[matrix] ?? null,
    range: fullRange === null ? null : fullRange ? 'full' : 'narrow',
  };
}
