import { describe, expect, test } from 'vitest';
import { formatColour, isUsualPair, parseColour, usualPrimaries } from '../../signal/colour.js';
import { PRIMARIES_NAMES, TRANSFER_NAMES } from '../../signal/colour-names.js';

describe('one name stands for its usual pair, two or three say it all', () => {
  test.each([
    ['bt709', { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709' }],
    ['smpte2084', { transfer: 'smpte2084', primaries: 'bt2020', matrix: 'bt2020nc' }],
    ['arib-std-b67', { transfer: 'arib-std-b67', primaries: 'bt2020', matrix: 'bt2020nc' }],
    ['smpte170m', { transfer: 'smpte170m', primaries: 'smpte170m', matrix: 'smpte170m' }],
    ['smpte170m/bt470bg', { transfer: 'smpte170m', primaries: 'bt470bg', matrix: 'bt470bg' }],
    ['S-Log3', { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709' }],
    ['S-Log3/S-Gamut3', { transfer: 'S-Log3', primaries: 'S-Gamut3', matrix: 'bt709' }],
    ['s-log3/s-gamut3.cine', { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709' }],
    ['smpte2084/smpte432', { transfer: 'smpte2084', primaries: 'smpte432', matrix: 'bt709' }],
    ['smpte2084/smpte432/bt2020nc', { transfer: 'smpte2084', primaries: 'smpte432', matrix: 'bt2020nc' }],
    ['linear/AP0', { transfer: 'linear', primaries: 'AP0', matrix: 'gbr' }],
  ])('%s', (text, colour) => expect(parseColour(text)).toEqual(colour));
});

test('every curve but linear has usual primaries, and is read back from what is written', () => {
  for (const transfer of TRANSFER_NAMES) {
    const primaries = usualPrimaries(transfer);
    expect(primaries === null).toBe(transfer === 'linear');
    for (const name of PRIMARIES_NAMES) {
      const colour = parseColour(`${transfer}/${name}`);
      expect(parseColour(formatColour(colour))).toEqual(colour);
    }
    if (primaries !== null) expect(isUsualPair(transfer, primaries)).toBe(true);
  }
  expect(formatColour({ transfer: 'bt709', primaries: 'bt709', matrix: 'gbr' })).toBe('bt709/bt709/gbr');
});

test('pairs nobody publishes are told apart', () => {
  expect(isUsualPair('S-Log3', 'S-Gamut3')).toBe(true);
  expect(isUsualPair('S-Log3', 'V-Gamut')).toBe(false);
  expect(isUsualPair('arib-std-b67', 'bt709')).toBe(false);
  expect(isUsualPair('linear', 'RWG')).toBe(true);
});

describe('a slip is answered with the nearest names', () => {
  test.each([
    ['SLog3', /"SLog3" is not a known transfer function; nearest: S-Log3,/],
    [
      'S-Log3/S-Gamut3Cine',
      /"S-Gamut3Cine" in "S-Log3\/S-Gamut3Cine" is not a known set of primaries; nearest: S-Gamut3.Cine,/,
    ],
    ['bt709/bt709/bt2020', /not a known matrix; nearest: bt2020nc/],
    ['', /"" is not a known transfer function/],
    ['linear', /names no primaries/],
    ['a/b/c/d', /too many parts/],
  ])('%s', (text, message) => {
    expect(() => parseColour(text)).toThrow(RangeError);
    expect(() => parseColour(text)).toThrow(message);
  });
});
