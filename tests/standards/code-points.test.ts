import { describe, expect, it } from 'vitest';
import { GAMUTS } from '../../signal/gamut/gamuts.js';
import { TRANSFER_FUNCTIONS } from '../../signal/transfer/transfer-functions.js';
import { MATRICES } from '../../signal/ycbcr.js';
import { tagsOfCodePoints } from '../../workers/probe/bitstream/colour-code-points.js';

/**
 * ITU-T H.273, tables 2, 3 and 4, in ffmpeg's spelling; from memory. Values not listed are reserved or
 * unspecified.
 */
const PRIMARIES = new Map([
  [1, 'bt709'],
  [4, 'bt470m'],
  [5, 'bt470bg'],
  [6, 'smpte170m'],
  [7, 'smpte240m'],
  [8, 'film'],
  [9, 'bt2020'],
  [10, 'smpte428'],
  [11, 'smpte431'],
  [12, 'smpte432'],
  [22, 'ebu3213'],
]);
const TRANSFERS = new Map([
  [1, 'bt709'],
  [4, 'bt470m'],
  [5, 'bt470bg'],
  [6, 'smpte170m'],
  [7, 'smpte240m'],
  [8, 'linear'],
  [9, 'log100'],
  [10, 'log316'],
  [11, 'iec61966-2-4'],
  [12, 'bt1361e'],
  [13, 'iec61966-2-1'],
  [14, 'bt2020-10'],
  [15, 'bt2020-12'],
  [16, 'smpte2084'],
  [17, 'smpte428'],
  [18, 'arib-std-b67'],
]);
const MATRIX = new Map([
  [0, 'gbr'],
  [1, 'bt709'],
  [4, 'fcc'],
  [5, 'bt470bg'],
  [6, 'smpte170m'],
  [7, 'smpte240m'],
  [8, 'ycgco'],
  [9, 'bt2020nc'],
  [10, 'bt2020c'],
  [11, 'smpte2085'],
  [12, 'chroma-derived-nc'],
  [13, 'chroma-derived-c'],
  [14, 'ictcp'],
]);

const UNSPECIFIED = 2;
const ALL = Array.from({ length: 256 }, (_, value) => value);

/** The words of all 256 values, those without one left out. */
function told(word: (value: number) => string | null): Map<number, string> {
  const words = ALL.map((value) => [value, word(value)] as const);
  return new Map(words.flatMap(([value, name]) => (name === null ? [] : [[value, name]])));
}

describe('values of H.273', () => {
  it('primaries', () => {
    expect(told((value) => tagsOfCodePoints(value, UNSPECIFIED, UNSPECIFIED, null).primaries)).toEqual(
      PRIMARIES,
    );
  });
  it('transfer functions', () => {
    expect(told((value) => tagsOfCodePoints(UNSPECIFIED, value, UNSPECIFIED, null).transfer)).toEqual(
      TRANSFERS,
    );
  });
  it('matrices', () => {
    expect(told((value) => tagsOfCodePoints(UNSPECIFIED, UNSPECIFIED, value, null).matrix)).toEqual(MATRIX);
  });
  it('a value stands for one thing', () => {
    for (const list of [TRANSFER_FUNCTIONS, GAMUTS, MATRICES]) {
      const values = list.flatMap(({ codePoint }) => codePoint ?? []);
      expect(new Set(values).size).toBe(values.length);
      expect(values.length).toBeGreaterThan(4);
    }
  });
});
