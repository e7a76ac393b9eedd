/** A colour or tristimulus value: three numbers in the order their space names them. */
export type Vector3 = readonly [number, number, number];
/** Row major: `matrix[row][column]`, applied to column vectors. */
export type Matrix3 = readonly [Vector3, Vector3, Vector3];

export const IDENTITY3: Matrix3 = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

/** `matrix * vector`. */
export function transform3(matrix: Matrix3, vector: Vector3): Vector3 {
  return [dot3(matrix[0], vector), dot3(matrix[1], vector), dot3(matrix[2], vector)];
}

/** `left * right`: the transform that applies `right` first. */
export function multiply3(left: Matrix3, right: Matrix3): Matrix3 {
  const columns = transpose3(right);
  const row = (vector: Vector3): Vector3 => transform3(columns, vector);
  return [row(left[0]), row(left[1]), row(left[2])];
}

export function diagonal3([a, b, c]: Vector3): Matrix3 {
  return [
    [a, 0, 0],
    [0, b, 0],
    [0, 0, c],
  ];
}

export function transpose3([[a, b, c], [d, e, f], [g, h, i]]: Matrix3): Matrix3 {
  return [
    [a, d, g],
    [b, e, h],
    [c, f, i],
  ];
}

/** Throws RangeError where the matrix has no inverse (three primaries on one line, for one). */
export function invert3(matrix: Matrix3): Matrix3 {
  const [[a, b, c], [d, e, f], [g, h, i]] = matrix;
  const determinant = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  if (!Number.isFinite(determinant) || determinant === 0) {
    throw new RangeError(
      `the matrix ${JSON.stringify(matrix)} has no inverse: its determinant is ${determinant}`,
    );
  }
  const k = 1 / determinant;
  return [
    [(e * i - f * h) * k, (c * h - b * i) * k, (b * f - c * e) * k],
    [(f * g - d * i) * k, (a * i - c * g) * k, (c * d - a * f) * k],
    [(d * h - e * g) * k, (b * g - a * h) * k, (a * e - b * d) * k],
  ];
}

export function dot3([a, b, c]: Vector3, [x, y, z]: Vector3): number {
  return a * x + b * y + c * z;
}
