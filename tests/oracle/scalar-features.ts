import {
  type CellChange,
  type CellSums,
  cellGrid,
  type FrameFeatures,
  isSampledRow,
} from '../../workers/measure/picture/kernel/frame-features.js';
import type { PicturePlan } from '../../workers/measure/picture/plan/picture-plan.js';

interface Plane {
  readonly codes: Uint16Array;
  readonly width: number;
  readonly height: number;
}

/**
 * The features of a frame, sample by sample as they are defined. `before`: plane 0 of the frame before, or
 * null.
 */
export function scalarFeatures(
  frame: number,
  plan: PicturePlan,
  planes: readonly Plane[],
  before: Uint16Array | null,
): FrameFeatures {
  const { geometry, layout, scale } = plan;
  const top = scale.topCode;
  const { width, height } = geometry;
  const grid = cellGrid(width, height);
  const cells = (): Uint32Array => new Uint32Array(grid.columns * grid.rows);
  const cellOf = (x: number, y: number): number =>
    Math.floor(y / grid.size) * grid.columns + Math.floor(x / grid.size);
  const add = (into: Uint32Array, cell: number, value: number): void => {
    into[cell] = (into[cell] ?? 0) + value;
  };

  const histograms: Uint32Array[] = [];
  const sums: Uint32Array[] = [];
  planes.forEach((plane, index) => {
    const histogram = new Uint32Array(top + 1);
    const sum = cells();
    const [shiftX, shiftY] = index === 0 ? [0, 0] : [layout.chromaShiftX, layout.chromaShiftY];
    for (let y = 0; y < plane.height; y++) {
      for (let x = 0; x < plane.width; x++) {
        const code = Math.min(plane.codes[y * plane.width + x] ?? 0, top);
        histogram[code] = (histogram[code] ?? 0) + 1;
        add(sum, cellOf(x << shiftX, y << shiftY), code);
      }
    }
    histograms.push(histogram);
    sums.push(sum);
  });

  const codes = planes[0]?.codes ?? new Uint16Array(0);
  const at = (of: Uint16Array, x: number, y: number): number => Math.min(of[y * width + x] ?? 0, top);
  const rowMin = new Uint16Array(height).fill(0xffff);
  const rowMax = new Uint16Array(height);
  const columnMin = new Uint16Array(width).fill(0xffff);
  const columnMax = new Uint16Array(width);
  const roughness: CellSums['roughness'] = { frame: cells(), field: cells() };
  const change = { even: cells(), odd: cells(), most: 0, weave: { even: cells(), odd: cells() } };
  for (let y = 0; y < height; y++) {
    const sampled = isSampledRow(y, height);
    const parity = y % 2 === 0 ? 'even' : 'odd';
    for (let x = 0; x < width; x++) {
      const code = at(codes, x, y);
      const cell = cellOf(x, y);
      rowMin[y] = Math.min(rowMin[y] ?? 0, code);
      rowMax[y] = Math.max(rowMax[y] ?? 0, code);
      if (y % 4 === 0) {
        columnMin[x] = Math.min(columnMin[x] ?? 0, code);
        columnMax[x] = Math.max(columnMax[x] ?? 0, code);
      }
      const near = sampled ? at(codes, x, y - 1) + at(codes, x, y + 1) : 0;
      if (sampled) {
        add(roughness.frame, cell, Math.abs(near - 2 * code));
        add(roughness.field, cell, Math.abs(at(codes, x, y - 2) + at(codes, x, y + 2) - 2 * code));
      }
      if (!before) continue;
      const then = at(before, x, y);
      add(change[parity], cell, Math.abs(code - then));
      change.most = Math.max(change.most, Math.abs(code - then));
      if (sampled) add(change.weave[parity], cell, Math.abs(near - 2 * then));
    }
  }
  const against: CellChange | null = before ? change : null;
  return {
    frame,
    histograms,
    rowMin,
    rowMax,
    columnMin,
    columnMax,
    cells: { ...grid, sums, roughness },
    change: against,
  };
}
