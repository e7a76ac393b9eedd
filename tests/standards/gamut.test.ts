import { describe, expect, test } from 'vitest';
import { rgbToRgbMatrix } from '../../signal/gamut/convert.js';
import { gamut, PRIMARIES_NAMES, type PrimariesName } from '../../signal/gamut/gamuts.js';
import { IDENTITY3, type Matrix3, multiply3, transform3 } from '../../signal/matrix3.js';
import { lumaCoefficients } from '../../signal/ycbcr.js';
import published from './data/published-values.json' with { type: 'json' };

function expectMatrix(measured: Matrix3, expected: readonly (readonly number[])[], tolerance: number): void {
  expect(expected.length).toBe(3);
  for (const [row, values] of measured.entries()) {
    for (const [column, value] of values.entries()) {
      const wanted = expected[row]?.[column] ?? Number.NaN;
      expect(
        Math.abs(value - wanted),
        `[${row}][${column}] ${value}, published ${wanted}`,
      ).toBeLessThanOrEqual(tolerance);
    }
  }
}

/**
 * ST 2065-1 prints AP0's, the S-Gamut3 document its two, to 10 digits; the others are RP 177 worked by
 * others.
 */
describe.each([
  ['BT.709', 'bt709'],
  ['BT.2020', 'bt2020'],
  ['P3-D65', 'smpte432'],
  ['AP0', 'AP0'],
  ['AP1', 'AP1'],
  ['S-Gamut3', 'S-Gamut3'],
  ['S-Gamut3.Cine', 'S-Gamut3.Cine'],
] as const)('RGB to XYZ of %s', (key, name) => {
  test('is the published matrix to 10 digits', () => {
    expectMatrix(gamut(name).rgbToXyz, published.B.rgb_to_xyz[key], 5.1e-11);
  });
});

test('the luminance row rounds to the luma coefficients of BT.709-6 and BT.2020-2', () => {
  for (const [name, matrix] of [
    ['bt709', 'bt709'],
    ['bt2020', 'bt2020nc'],
  ] as const) {
    const { kr, kg, kb } = lumaCoefficients(matrix);
    expect(gamut(name).rgbToXyz[1].map((value) => Number(value.toFixed(4)))).toEqual([kr, kg, kb]);
  }
});

test('XYZ to RGB of BT.709 is the one IEC 61966-2-1 prints for sRGB (from memory), to its four digits', () => {
  expectMatrix(
    gamut('bt709').xyzToRgb,
    [
      [3.2406, -1.5372, -0.4986],
      [-0.9689, 1.8758, 0.0415],
      [0.0557, -0.204, 1.057],
    ],
    // The standard inverted a matrix already rounded to four digits; the exact inverse differs by up to 4e-4.
    4e-4,
  );
});

/**
 * Widely printed four-digit matrices of the two BT.601 systems (from memory); their D65 has a digit more or
 * less.
 */
test.each<[PrimariesName, number[][]]>([
  [
    'smpte170m',
    [
      [0.3935, 0.3653, 0.1917],
      [0.2124, 0.7011, 0.0866],
      [0.0187, 0.1119, 0.9582],
    ],
  ],
  [
    'bt470bg',
    [
      [0.4306, 0.3415, 0.1784],
      [0.222, 0.7067, 0.0713],
      [0.0202, 0.1296, 0.9391],
    ],
  ],
])('RGB to XYZ of %s', (name, known) => expectMatrix(gamut(name).rgbToXyz, known, 3e-4));

describe('BT.2087-0: BT.709 to BT.2020 and back (printed digits seen)', () => {
  const { bt2087_709_to_2020: toWide, inverse: toNarrow, p3d65_to_2020_calc: fromP3 } = published.B;

  test('M2 to the four printed digits, and to 1e-9 of the exact one', () => {
    expectMatrix(rgbToRgbMatrix('bt709', 'bt2020'), toWide.published, 5e-5);
    expectMatrix(rgbToRgbMatrix('bt709', 'bt2020'), toWide.calc, 1e-9);
  });
  test('its inverse', () => {
    expectMatrix(rgbToRgbMatrix('bt2020', 'bt709'), toNarrow.published, 5e-5);
    expectMatrix(rgbToRgbMatrix('bt2020', 'bt709'), toNarrow.calc, 1e-9);
  });
  test('P3-D65 to BT.2020', () => expectMatrix(rgbToRgbMatrix('smpte432', 'bt2020'), fromP3, 1e-9));
});

/**
 * ACES TRA matrices as the published transforms print them (from memory), Bradford between the two whites.
 */
test('AP1 to AP0 is the matrix of ACES S-2014-004', () => {
  expectMatrix(
    rgbToRgbMatrix('AP1', 'AP0'),
    [
      [0.6954522414, 0.1406786965, 0.1638690622],
      [0.0447945634, 0.8596711185, 0.0955343182],
      [-0.0055258826, 0.0040252103, 1.0015006723],
    ],
    5.1e-11,
  );
});

describe('conversions', () => {
  const pairs: [PrimariesName, PrimariesName][] = PRIMARIES_NAMES.flatMap((from) =>
    PRIMARIES_NAMES.map((to): [PrimariesName, PrimariesName] => [from, to]),
  );

  test('keep white white, and come back, for every pair', () => {
    expect(pairs.length).toBe(PRIMARIES_NAMES.length ** 2);
    for (const [from, to] of pairs) {
      const there = rgbToRgbMatrix(from, to);
      for (const channel of transform3(there, [1, 1, 1])) expect(Math.abs(channel - 1)).toBeLessThan(1e-12);
      expectMatrix(multiply3(rgbToRgbMatrix(to, from), there), IDENTITY3, 1e-11);
    }
  });

  test('F-Gamut and N-Gamut are BT.2020', () => {
    expectMatrix(rgbToRgbMatrix('F-Gamut', 'bt2020'), IDENTITY3, 1e-15);
    expectMatrix(rgbToRgbMatrix('N-Gamut', 'bt2020'), IDENTITY3, 1e-15);
  });

  test('an adaptation can be named, and matters only where the whites differ', () => {
    expect(rgbToRgbMatrix('bt709', 'bt2020', 'cat02')).toEqual(rgbToRgbMatrix('bt709', 'bt2020', 'bradford'));
    expect(rgbToRgbMatrix('bt709', 'AP0', 'cat02')).not.toEqual(rgbToRgbMatrix('bt709', 'AP0', 'bradford'));
    expect(rgbToRgbMatrix('bt709', 'AP0')).toEqual(rgbToRgbMatrix('bt709', 'AP0', 'bradford'));
    expect(rgbToRgbMatrix('S-Gamut3', 'AP0')).toEqual(rgbToRgbMatrix('S-Gamut3', 'AP0', 'cat02'));
  });

  test.each(PRIMARIES_NAMES)('%s: each primary has its chromaticity and white its white', (name) => {
    const { rgbToXyz, red, green, blue, white, source } = gamut(name);
    expect(gamut(name).name).toBe(name);
    expect(source.length).toBeGreaterThan(10);
    expect(gamut(name).title.length).toBeGreaterThan(4);
    for (const [rgb, [x, y]] of [
      [[1, 0, 0], red],
      [[0, 1, 0], green],
      [[0, 0, 1], blue],
      [[1, 1, 1], white],
    ] as const) {
      const [X, Y, Z] = transform3(rgbToXyz, rgb);
      expect(X / (X + Y + Z)).toBeCloseTo(x, 12);
      expect(Y / (X + Y + Z)).toBeCloseTo(y, 12);
    }
    expect(transform3(rgbToXyz, [1, 1, 1])[1]).toBeCloseTo(1, 12);
  });
});
