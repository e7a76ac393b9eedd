import { expect, test } from 'vitest';
import {
  diagonal3,
  IDENTITY3,
  invert3,
  type Matrix3,
  multiply3,
  transform3,
  transpose3,
} from '../../signal/matrix3.js';

const M: Matrix3 = [
  [2, 0, 1],
  [0, 3, 0],
  [1, 0, 1],
];

test('multiplies left by right: right is applied first', () => {
  const shear: Matrix3 = [
    [1, 1, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  expect(multiply3(M, shear)).toEqual([
    [2, 2, 1],
    [0, 3, 0],
    [1, 1, 1],
  ]);
  expect(transform3(multiply3(M, shear), [1, 2, 3])).toEqual(transform3(M, transform3(shear, [1, 2, 3])));
});

test('inverts a matrix of determinant 3 (computed by hand)', () => {
  expect(multiply3(invert3(M), M)).toEqual(IDENTITY3);
  expect(invert3(M)[0]).toEqual([1, 0, -1]);
});

test('transposes and makes diagonals', () => {
  expect(
    transpose3([
      [1, 2, 3],
      [4, 5, 6],
      [7, 8, 9],
    ]),
  ).toEqual([
    [1, 4, 7],
    [2, 5, 8],
    [3, 6, 9],
  ]);
  expect(transform3(diagonal3([2, 3, 4]), [1, 1, 1])).toEqual([2, 3, 4]);
});

test('refuses a matrix without an inverse', () => {
  expect(() =>
    invert3([
      [1, 2, 3],
      [2, 4, 6],
      [0, 0, 1],
    ]),
  ).toThrow(/no inverse/);
  expect(() => invert3(diagonal3([Number.NaN, 1, 1]))).toThrow(RangeError);
});
