import { describe, expect, it, test } from 'vitest';
import { z } from 'zod';
import { writtenMatrix, writtenPrimaries, writtenTransfer } from '../../../jobs/manifest/colour.js';
import { parseColour, parseScale } from '../../../jobs/manifest/colour-words.js';
import { PRIMARIES_NAMES } from '../../../signal/gamut/gamuts.js';
import { TRANSFER_NAMES, transferFunction } from '../../../signal/transfer/transfer-functions.js';
import { MATRIX_NAMES } from '../../../signal/ycbcr.js';

describe('one name stands for its usual pair, two or three say it all', () => {
  test.each([
    ['bt709', { transfer: 'bt709', primaries: 'bt709' }],
    ['smpte2084', { transfer: 'smpte2084', primaries: 'bt2020' }],
    ['arib-std-b67', { transfer: 'arib-std-b67', primaries: 'bt2020' }],
    ['smpte170m', { transfer: 'smpte170m', primaries: 'smpte170m' }],
    ['smpte170m/bt470bg', { transfer: 'smpte170m', primaries: 'bt470bg' }],
    ['S-Log3', { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' }],
    ['S-Log3/S-Gamut3', { transfer: 'S-Log3', primaries: 'S-Gamut3' }],
    ['s-log3/s-gamut3.cine', { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' }],
    ['smpte2084/smpte432', { transfer: 'smpte2084', primaries: 'smpte432' }],
    ['smpte2084/smpte432/bt2020nc', { transfer: 'smpte2084', primaries: 'smpte432', matrix: 'bt2020nc' }],
    ['linear/AP0', { transfer: 'linear', primaries: 'AP0' }],
  ])('%s', (text, colour) => expect(parseColour(text)).toEqual(colour));
});

/** What crews say and write: common practice, no source. */
describe('the words of the trade mean the same, in any spelling', () => {
  test.each([
    ['PQ', { transfer: 'smpte2084', primaries: 'bt2020' }],
    ['ST 2084', { transfer: 'smpte2084', primaries: 'bt2020' }],
    ['hlg', { transfer: 'arib-std-b67', primaries: 'bt2020' }],
    ['Rec.709', { transfer: 'bt709', primaries: 'bt709' }],
    ['Rec 709', { transfer: 'bt709', primaries: 'bt709' }],
    ['BT.709', { transfer: 'bt709', primaries: 'bt709' }],
    ['Rec.601', { transfer: 'smpte170m', primaries: 'smpte170m' }],
    ['BT.601/Rec.601-625', { transfer: 'smpte170m', primaries: 'bt470bg' }],
    ['Rec.2020-12', { transfer: 'bt2020-12', primaries: 'bt2020' }],
    ['Rec.1886', { transfer: 'bt1886', primaries: 'bt709' }],
    ['sRGB', { transfer: 'iec61966-2-1', primaries: 'bt709' }],
    ['Rec.2020', { transfer: 'bt2020-10', primaries: 'bt2020' }],
    ['BT.1886/P3-D65', { transfer: 'bt1886', primaries: 'smpte432' }],
    ['SLog3/SGamut3Cine', { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' }],
    ['V-Log', { transfer: 'V-Log', primaries: 'V-Gamut' }],
    ['clog2/cinema gamut', { transfer: 'C-Log2', primaries: 'C-Gamut' }],
    ['PQ/Display P3/Rec.2020', { transfer: 'smpte2084', primaries: 'smpte432', matrix: 'bt2020nc' }],
  ])('%s', (text, colour) => expect(parseColour(text)).toEqual(colour));

  test.each([
    ['Rec.709', 'bt709'],
    ['sRGB', 'bt709'],
    ['BT.2100', 'bt2020'],
    ['Rec.601-525', 'smpte170m'],
    ['BT.601-625', 'bt470bg'],
    ['P3 D65', 'smpte432'],
    ['ACES AP0', 'AP0'],
    ['ACES AP1', 'AP1'],
    ['wide gamut 3', 'AWG3'],
    ['Wide Gamut 4', 'AWG4'],
    ['Wide Gamut RGB', 'RWG'],
    ['Cinema Gamut', 'C-Gamut'],
  ])('primaries %s', (text, name) => expect(parseColour(`linear/${text}`).primaries).toBe(name));

  test('as a scale too', () => {
    expect(['PQ', 'HLG', 'rec709', 'Reflectance'].map(parseScale)).toEqual([
      'smpte2084',
      'arib-std-b67',
      'bt709',
      'reflectance',
    ]);
  });
});

test('every curve but linear has usual primaries; every pair is read back from its names', () => {
  for (const transfer of TRANSFER_NAMES) {
    const { primaries } = transferFunction(transfer);
    expect(primaries === null).toBe(transfer === 'linear');
    if (primaries !== null) expect(parseColour(transfer)).toEqual({ transfer, primaries });
    for (const name of PRIMARIES_NAMES) {
      expect(parseColour(`${transfer}/${name}`)).toEqual({ transfer, primaries: name });
      for (const matrix of MATRIX_NAMES) {
        expect(parseColour(`${transfer}/${name}/${matrix}`)).toEqual({ transfer, primaries: name, matrix });
      }
    }
  }
});

describe('a slip is answered with the nearest word, or with the command that lists all', () => {
  test.each([
    ['SLog9', /"SLog9" is not a known transfer function; the nearest is S-Log3$/],
    [
      'S-Log3/S-Gamut4Cine',
      /"S-Gamut4Cine" in "S-Log3\/S-Gamut4Cine" is not a known set of primaries; the nearest is S-Gamut3.Cine$/,
    ],
    ['bt709/bt709/bt2021', /not a known matrix; the nearest is BT.2020$/],
    ['', /"" is not a known transfer function; goodgate levels --names lists those there are$/],
    ['LogC', /not a known transfer function/],
    ['linear', /names no primaries/],
    ['a/b/c/d', /too many parts/],
  ])('%s', (text, message) => {
    expect(() => parseColour(text)).toThrow(RangeError);
    expect(() => parseColour(text)).toThrow(message);
  });
});

describe.each([
  ['transfer', writtenTransfer, 'hLg', 'arib-std-b67', 'HLG'],
  ['primaries', writtenPrimaries, 'rec 2020', 'bt2020', 'Rec.2020'],
  ['matrix', writtenMatrix, 'rgb', 'gbr', 'RGB'],
] as const)('%s in a document that people write', (_key, schema, text, name, word) => {
  it('is read by any word, and is the name from then on', () => {
    expect(schema.parse(text)).toBe(name);
    expect(schema.parse(name)).toBe(name);
  });
  it('is refused with the command that lists all, and with the words the nearest is found in', () => {
    const issue = schema.safeParse('nonsense').error?.issues[0];
    expect(issue?.message).toContain('goodgate levels --names');
    expect(issue).toMatchObject({ params: { words: expect.arrayContaining([name, word]) } });
    expect(schema.safeParse(7).success).toBe(false);
  });
  it('an editor offers the words as well; a document of ours holds the name alone', () => {
    expect(z.toJSONSchema(schema, { io: 'input' }).enum).toEqual(expect.arrayContaining([name, word]));
    expect(z.toJSONSchema(schema, { io: 'output' }).enum).not.toContain(word);
  });
});
