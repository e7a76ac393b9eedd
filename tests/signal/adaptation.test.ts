import { expect, test } from 'vitest';
import { ADAPTATION_NAMES, adaptationMatrix, xyzOfChromaticity } from '../../signal/adaptation.js';
import { transform3 } from '../../signal/matrix3.js';

/** CIE D65 and D50 as XYZ tables print them (ASTM E308, 2 degrees, from memory). */
const D65 = [0.31271, 0.32902] as const;
const D50 = [0.34567, 0.3585] as const;

test.each(ADAPTATION_NAMES)('%s takes white to white', (method) => {
  const adapted = transform3(adaptationMatrix(D65, D50, method), xyzOfChromaticity(D65));
  const wanted = xyzOfChromaticity(D50);
  for (const [index, value] of adapted.entries()) expect(value).toBeCloseTo(wanted[index] ?? Number.NaN, 12);
});

test('Bradford D65 to D50 is the well-known matrix (ICC profiles of sRGB, from memory), to four digits', () => {
  const known = [
    [1.0479, 0.0229, -0.0502],
    [0.0296, 0.9904, -0.0171],
    [-0.0092, 0.0151, 0.7519],
  ];
  for (const [row, values] of adaptationMatrix(D65, D50, 'bradford').entries()) {
    for (const [column, value] of values.entries()) {
      expect(Math.abs(value - (known[row]?.[column] ?? Number.NaN))).toBeLessThan(2e-4);
    }
  }
});

test('a white without luminance is refused', () => {
  expect(() => xyzOfChromaticity([0.3, 0])).toThrow(/no luminance/);
});
