import type { CellChange, CellSums, FrameFeatures } from '../kernel/frame-features.js';
import type { FrameStudy } from '../recording/frame-study.js';

/**
 * Figures that show the scan of a moving picture, one number per frame. Sums are over the moving cells and in
 * whole codes; only their ratios are used. Areas are fractions of the picture.
 */
export const FIELD_COLUMNS = [
  /** Area that moves from the previous frame. */
  'fieldMoving',
  /** Moving area whose neighbouring lines differ far more than lines of one field. */
  'fieldCombed',
  /** Difference of lines from their neighbours in the frame, and from those in their own field. */
  'fieldRoughFrame',
  'fieldRoughField',
  /**
   * Difference of even lines of the previous frame from odd lines of this one; of odd lines from even ones.
   */
  'fieldWeaveEven',
  'fieldWeaveOdd',
  /** Change of the even and of the odd lines. */
  'fieldChangeEven',
  'fieldChangeOdd',
  /** Mean change of a pixel, in 8-bit codes: over the whole picture, and where it moves. */
  'fieldChange',
  'fieldMotion',
] as const;
export type FieldColumn = (typeof FIELD_COLUMNS)[number];

/**
 * Mean change of a pixel from which a cell moves, in 8-bit codes: grain and coding stay below (common
 * practice, no source).
 */
const MOVES = 2.5;
/** A cell is combed where lines differ from their neighbours this much more than within a field, */
const COMB_RATIO = 1.5;
/** and by this many 8-bit codes a line beyond that, which fine detail at rest never adds. */
const COMB_CODES = 3;

type Row = Record<FieldColumn, number>;

/**
 * @param picture depth and size of plane 0. Cells that the edge of the picture cuts are left out: they hold
 * more even lines than odd.
 */
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
  const sums = new FieldSums(movesFrom, combsFrom);
  for (let j = 0; j < down; j++) sums.add(roughness, change, j * columns, j * columns + across);
  const seen = across * down;
  return {
    fieldMoving: sums.moving / seen,
    fieldCombed: sums.combed / seen,
    fieldRoughFrame: sums.roughFrame,
    fieldRoughField: sums.roughField,
    fieldWeaveEven: sums.weaveEven,
    fieldWeaveOdd: sums.weaveOdd,
    fieldChangeEven: sums.changeEven,
    fieldChangeOdd: sums.changeOdd,
    fieldChange: sums.total / (seen * size * size * codesPerStep),
    fieldMotion: (sums.changeEven + sums.changeOdd) / (sums.moving * size * size * codesPerStep),
  };
}

/** Sums over the cells of a frame. */
class FieldSums {
  moving = 0;
  combed = 0;
  total = 0;
  roughFrame = 0;
  roughField = 0;
  weaveEven = 0;
  weaveOdd = 0;
  changeEven = 0;
  changeOdd = 0;

  /** @param movesFrom, combsFrom from which sums of codes a cell moves, or is combed */
  constructor(
    readonly movesFrom: number,
    readonly combsFrom: number,
  ) {}

  /**
   * Adds the cells `[from, to)`, one row per call: a single loop over all cells is entered too rarely to be
   * optimised well.
   */
  add(roughness: CellSums['roughness'], change: CellChange, from: number, to: number): void {
    const { movesFrom, combsFrom } = this;
    const { frame, field } = roughness;
    const { weave } = change;
    let { moving, combed, total, roughFrame, roughField } = this;
    let { weaveEven, weaveOdd, changeEven, changeOdd } = this;
    for (let cell = from; cell < to; cell++) {
      const even = change.even[cell] ?? 0;
      const odd = change.odd[cell] ?? 0;
      total += even + odd;
      if (even < movesFrom && odd < movesFrom) continue;
      const inFrame = frame[cell] ?? 0;
      const inField = field[cell] ?? 0;
      moving++;
      if (inFrame > COMB_RATIO * inField + combsFrom) combed++;
      roughFrame += inFrame;
      roughField += inField;
      weaveEven += weave.even[cell] ?? 0;
      weaveOdd += weave.odd[cell] ?? 0;
      changeEven += even;
      changeOdd += odd;
    }
    this.moving = moving;
    this.combed = combed;
    this.total = total;
    this.roughFrame = roughFrame;
    this.roughField = roughField;
    this.weaveEven = weaveEven;
    this.weaveOdd = weaveOdd;
    this.changeEven = changeEven;
    this.changeOdd = changeOdd;
  }
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
    fieldMotion: Number.NaN,
  };
}
