import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Cube } from '../../../signal/lut/cube.js';
import { CubeError, formatCube, parseCube } from '../../../signal/lut/cube-format.js';

const IDENTITY_3D = ['0 0 0', '1 0 0', '0 1 0', '1 1 0', '0 0 1', '1 0 1', '0 1 1', '1 1 1'];
const lines = (...parts: string[]): string => parts.join('\n');

describe('parseCube', () => {
  it('reads title, comments, domain and rows, red fastest', () => {
    const cube = parseCube(
      lines(
        '\uFEFF# made by hand',
        'TITLE "warm, \'soft\'"',
        'LUT_3D_SIZE 2\r',
        'DOMAIN_MIN -0.1 0 0',
        'DOMAIN_MAX 1.1 1 2',
        '',
        ...IDENTITY_3D,
        '# the end',
        '',
      ),
    );
    expect(cube.title).toBe("warm, 'soft'");
    expect(cube.comments).toEqual(['made by hand', 'the end']);
    expect(cube.curve).toBeNull();
    expect(cube.cube?.size).toBe(2);
    expect(cube.cube?.domainMin).toEqual([-0.1, 0, 0]);
    expect(cube.cube?.domainMax).toEqual([1.1, 1, 2]);
    expect(Array.from(cube.cube?.values.slice(3, 9) ?? [])).toEqual([1, 0, 0, 0, 1, 0]);
  });

  it('reads a 1D table, with numbers in every usual notation', () => {
    const { curve, cube } = parseCube(lines('LUT_1D_SIZE 3', '0 -.5 +1.', '5e-1 .5 2E+0', '\t1   1\t1 '));
    expect(cube).toBeNull();
    expect(Array.from(curve?.values ?? [])).toEqual([0, -0.5, 1, 0.5, 0.5, 2, 1, 1, 1]);
    expect(curve?.domainMax).toEqual([1, 1, 1]);
  });

  it('reads a 1D table before a 3D one, each with its input range', () => {
    const { curve, cube } = parseCube(
      lines(
        'LUT_1D_SIZE 2',
        'LUT_1D_INPUT_RANGE -1 3',
        'LUT_3D_SIZE 2',
        'LUT_3D_INPUT_RANGE 0 2',
        '0 0 0',
        '2 2 2',
        ...IDENTITY_3D,
      ),
    );
    expect(curve).toMatchObject({ size: 2, domainMin: [-1, -1, -1], domainMax: [3, 3, 3] });
    expect(cube).toMatchObject({ size: 2, domainMin: [0, 0, 0], domainMax: [2, 2, 2] });
  });

  it.each([
    ['empty', '', null, /no LUT_1D_SIZE or LUT_3D_SIZE/],
    ['no size', lines('# a', '0 0 0'), 2, /no LUT_1D_SIZE or LUT_3D_SIZE/],
    ['too few rows', lines('LUT_3D_SIZE 2', ...IDENTITY_3D.slice(1)), 8, /ends after 7 rows.* 8/],
    ['too many rows', lines('LUT_3D_SIZE 2', ...IDENTITY_3D, '0 0 0'), 10, /more rows than the 8/],
    ['a row of two', lines('LUT_1D_SIZE 2', '0 0'), 2, /2 values instead of 3/],
    ['a row of four', lines('LUT_1D_SIZE 2', '0 0 0 0'), 2, /4 values instead of 3/],
    ['not a number', lines('LUT_1D_SIZE 2', '0 nan 0'), 2, /"nan" is not a number/],
    ['infinity', lines('LUT_1D_SIZE 2', '0 0 -inf'), 2, /not a number/],
    ['hexadecimal', lines('LUT_1D_SIZE 2', '0 0x10 0'), 2, /not a number/],
    ['a decimal comma', lines('LUT_1D_SIZE 2', '0,5 0 0'), 2, /not a number/],
    ['giant value', lines('LUT_1D_SIZE 2', '0 1e300 0'), 2, /not a number between/],
    ['giant size', lines('LUT_3D_SIZE 4096'), 1, /2 to 129/],
    ['a size of one', lines('LUT_3D_SIZE 1'), 1, /2 to 129/],
    ['a negative size', lines('LUT_1D_SIZE -5'), 1, /2 to 65536/],
    ['a size of words', lines('LUT_1D_SIZE 33 33'), 1, /2 to 65536/],
    ['two domains', lines('LUT_3D_SIZE 2', 'DOMAIN_MIN 0 0 0', 'DOMAIN_MIN 0 0 0'), 3, /second DOMAIN_MIN/],
    ['two sizes', lines('LUT_3D_SIZE 2', 'LUT_3D_SIZE 3'), 2, /second LUT_3D_SIZE/],
    [
      'an empty domain',
      lines('LUT_3D_SIZE 2', 'DOMAIN_MIN 0 0 0', 'DOMAIN_MAX 1 0 1', ...IDENTITY_3D),
      11,
      /domain .* is empty/,
    ],
    [
      'an unknown keyword',
      lines('LUT_3D_SIZE 2', 'LUT_IN_VIDEO_RANGE', ...IDENTITY_3D),
      2,
      /LUT_IN_VIDEO_RANGE/,
    ],
    ['a keyword in the table', lines('LUT_3D_SIZE 2', '0 0 0', 'TITLE "late"'), 3, /after the table began/],
    ['a line without end', `TITLE "${'x'.repeat(2000)}"`, 1, /longer than 1000/],
    ['binary', '\0\x01\x02', 1, /no LUT_1D_SIZE|not a number/],
  ])('refuses %s', (_, text, line, reason) => {
    let caught: unknown;
    try {
      parseCube(text);
    } catch (error) {
      caught = error;
    }
    expect(caught).toBeInstanceOf(CubeError);
    expect(caught).toMatchObject({
      reason: expect.stringMatching(reason),
      ...(line === null ? {} : { line }),
    });
  });

  it('gives a cube or a CubeError for any text', () => {
    const word = fc.oneof(
      fc.constantFrom(
        'LUT_1D_SIZE',
        'LUT_3D_SIZE',
        'DOMAIN_MIN',
        'TITLE',
        '#',
        '\n',
        '\r\n',
        '2',
        '0 0 0',
        '1 1 1',
      ),
      fc.string(),
    );
    fc.assert(
      fc.property(fc.array(word, { maxLength: 40 }), (words) => {
        try {
          parseCube(words.join(' '));
        } catch (error) {
          expect(error).toBeInstanceOf(CubeError);
        }
      }),
    );
  });
});

describe('formatCube', () => {
  const value = fc.double({ min: -4, max: 4, noNaN: true });
  const triple = fc.tuple(value, value, value);
  it('writes what parseCube reads back, to nine digits', () => {
    fc.assert(
      fc.property(fc.array(triple, { minLength: 8, maxLength: 8 }), fc.string(), (rows, title) => {
        const cube: Cube = {
          title,
          comments: ['a comment'],
          curve: null,
          cube: {
            size: 2,
            domainMin: [0, -0.25, 0],
            domainMax: [1, 1, 1.5],
            values: Float64Array.from(rows.flat()),
          },
        };
        const read = parseCube(formatCube(cube));
        expect(read.cube?.domainMin).toEqual(cube.cube?.domainMin);
        expect(read.cube?.domainMax).toEqual(cube.cube?.domainMax);
        for (const [i, v] of rows.flat().entries()) {
          const back = read.cube?.values[i] ?? Number.NaN;
          expect(Math.abs(back - v)).toBeLessThanOrEqual(Math.abs(v) * 5e-9 + 1e-300);
        }
      }),
      { numRuns: 50 },
    );
  });

  it('writes the 1D and the 3D table of a cube with a shaper', () => {
    const text = lines(
      'LUT_1D_SIZE 2',
      'LUT_3D_SIZE 2',
      'LUT_1D_INPUT_RANGE -1 3',
      'LUT_3D_INPUT_RANGE 0 1',
      '0 0 0',
      '1 1 1',
      ...IDENTITY_3D,
      '',
    );
    expect(formatCube(parseCube(text))).toBe(text);
  });
});
