import type { FrameFeatures } from '../frame-features.js';
import type { FrameStudy } from '../frame-study.js';

/**
 * What tells the scan of a moving picture, one number a frame. Sums are over the cells that move and in whole codes; only their
 * ratios are used, so their scale does not matter. Areas are fractions of the picture.
 */
export const FIELD_COLUMNS = [
  /** Area that moves against the frame before. */
  'fieldMoving',
  /** Area that moves and whose neighbouring lines differ far more than lines of one field do. */
  'fieldCombed',
  /** Lines against their neighbours in the frame, and against those in their own field. */
  'fieldRoughFrame',
  'fieldRoughField',
  /** Even lines of the frame before between odd lines of this one; odd lines between even ones. */
  'fieldWeaveEven',
  'fieldWeaveOdd',
  /** Change of the even and of the odd lines. */
  'fieldChangeEven',
  'fieldChangeOdd',
  /** Mean change of a pixel over the whole picture, in 8-bit codes. */
  'fieldChange',
] as const;
export type FieldColumn = (typeof FIELD_COLUMNS)[number];

/** Mean change of a pixel from which a cell moves, in 8-bit codes: grain and coding stay below (common practice, no source). */
const MOVES = 2.5;
/** A cell is combed where lines differ from their neighbours this much more than within a field, */
const COMB_RATIO = 1.5;
/** and by this many 8-bit codes a line beyond that, which fine detail at rest never adds. */
const COMB_CODES = 3;

type Row = Record<FieldColumn, number>;

/** @param picture depth and size of plane 0. Cells that the edge of the picture cuts are left out: they hold more even lines than odd. */
export function fieldStudy(picture: {
  readonly depth: number;
  readonly width: number;
  readonly height: number;
}): FrameStudy<FieldColumn> {
  const codesPerStep = 2 ** (picture.depth - 8);
  return {
    columns: FIELD_COLUMNS,
    memory: 1,
    observe: (features) => observeFields(features, picture, codesPerStep),
  };
}

function observeFields(
  { cells, change }: FrameFeatures,
  { width, height }: { readonly width: number; readonly height: number },
  codesPerStep: number,
): Row {
  const { size, columns, roughness } = cells;
  const across = Math.floor(width / size);
  const down = Math.floor(height / size);
  if (change === null || across * down === 0) return nothingSeen();

  // Half of a cell's rows are even; its roughness is sampled on two rows in eight.
  const movesFrom = MOVES * codesPerStep * ((size * size) / 2);
  const combsFrom = COMB_CODES * codesPerStep * ((size * size) / 4);
  let moving = 0;
  let combed = 0;
  let total = 0;
  let roughFrame = 0;
  let roughField = 0;
  let weaveEven = 0;
  let weaveOdd = 0;
  let changeEven = 0;
  let changeOdd = 0;
  for (let j = 0; j < down; j++) {
    for (let i = 0, cell = j * columns; i < across; i++, cell++) {
      const even = change.even[cell] ?? 0;
      const odd = change.odd[cell] ?? 0;
      total += even + odd;
      if (even < movesFrom && odd < movesFrom) continue;
      const inFrame = roughness.frame[cell] ?? 0;
      const inField = roughness.field[cell] ?? 0;
      moving++;
      if (inFrame > COMB_RATIO * inField + combsFrom) combed++;
      roughFrame += inFrame;
      roughField += inField;
      weaveEven += change.weave.even[cell] ?? 0;
      weaveOdd += change.weave.odd[cell] ?? 0;
      changeEven += even;
      changeOdd += odd;
    }
  }
  const seen = across * down;
  return {
    fieldMoving: moving / seen,
    fieldCombed: combed / seen,
    fieldRoughFrame: roughFrame,
    fieldRoughField: roughField,
    fieldWeaveEven: weaveEven,
    fieldWeaveOdd: weaveOdd,
    fieldChangeEven: changeEven,
    fieldChangeOdd: changeOdd,
    fieldChange: total / (seen * size * size * codesPerStep),
  };
}

function nothingSeen(): Row {
  return {
    fieldMoving: Number.NaN,
    fieldCombed: Number.NaN,
    fieldRoughFrame: Number.NaN,
    fieldRoughField: Number.NaN,
    fieldWeaveEven: Number.NaN,
    fieldWeaveOdd: Number.NaN,
    fieldChangeEven: Number.NaN,
    fieldChangeOdd: Number.NaN,
    fieldChange: Number.NaN,
  };
}
