import { describe, expect, it } from 'vitest';
import { GrowingColumns } from '../../../../../workers/measure/picture/recording/growing-columns.js';

describe('columns that grow', () => {
  it.each([
    ['as many rows as expected', 1000, 1000],
    ['fewer', 5000, 1000],
    ['more, in several blocks', 300, 1000],
    ['a header that promises too much', Number.MAX_SAFE_INTEGER, 1000],
    ['no idea', null, 1000],
    ['none', 1000, 0],
  ])('%s', (_, expected, rows) => {
    const columns = new GrowingColumns(['number', 'sometimes'], expected);
    for (let row = 0; row < rows; row++)
      columns.push({ number: row, ...(row % 2 === 0 && { sometimes: -row }) });
    const { number, sometimes } = columns.finish();
    expect(columns.frames).toBe(rows);
    expect([...number]).toEqual(Array.from({ length: rows }, (_, row) => row));
    expect([...sometimes]).toEqual(Array.from({ length: rows }, (_, row) => (row % 2 ? Number.NaN : -row)));
    expect(columns.finish().number).toBe(number);
    expect(() => columns.push({ number: 1 })).toThrow(/last/);
  });
});
