import { CELLS_AT_ONCE, type CellMeans, cellMeans } from '../flash/cell-means.js';
import { type CellGrid, cellGrid, type FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { FrameStudy } from '../recording/frame-study.js';
import { packSignature, SIGNATURE_COLUMNS, SIGNATURE_SIDE, SIGNATURE_VALUES } from './packed-signature.js';

/** A part of a cell that lies in a field, as a share of the field. */
interface Share {
  readonly field: number;
  readonly share: number;
}

const FIELDS = SIGNATURE_SIDE * SIGNATURE_SIDE;
const HALF = SIGNATURE_SIDE / 2;

/**
 * Keeps a signature of every frame, by which frames of two files are told to be the same: means of R'G'B' in
 * fields of the picture. They change little by size, sampling and coding, and with any change of picture.
 */
export class SignatureStudy implements FrameStudy<string> {
  readonly columns = SIGNATURE_COLUMNS;
  readonly memory = 0;
  readonly #grid: CellGrid;
  readonly #means: CellMeans;
  readonly #across: readonly (readonly Share[])[];
  readonly #down: readonly (readonly Share[])[];
  /** R', G' and B' of the fields. */
  readonly #fields = [0, 1, 2].map(() => new Float64Array(FIELDS));
  /** The same of one row of cells. */
  readonly #row = [0, 1, 2].map(() => new Float64Array(SIGNATURE_SIDE));
  readonly #values = new Float64Array(SIGNATURE_VALUES);

  constructor(plan: PicturePlan) {
    const { width, height } = plan.geometry;
    this.#grid = cellGrid(width, height);
    // Two files of one picture whose matrix is not known are read by the same one.
    this.#means = cellMeans(plan, plan.meaning.matrix ?? 'bt709', this.#grid);
    this.#across = sharesOf(this.#grid.columns, this.#grid.size, width);
    this.#down = sharesOf(this.#grid.rows, this.#grid.size, height);
  }

  observe({ cells }: FrameFeatures): Readonly<Record<string, number>> {
    for (const field of this.#fields) field.fill(0);
    for (let row = 0; row < this.#grid.rows; row++) this.#addRow(cells.sums, row);
    const [red, green, blue] = this.#fields;
    if (red === undefined || green === undefined || blue === undefined) return {};
    this.#values.set(green);
    halved(red, this.#values, FIELDS);
    halved(blue, this.#values, FIELDS + HALF * HALF);
    return packSignature(this.#values);
  }

  #addRow(sums: FrameFeatures['cells']['sums'], row: number): void {
    const { columns } = this.#grid;
    const signals = [this.#means.red, this.#means.green, this.#means.blue];
    for (const sum of this.#row) sum.fill(0);
    for (let from = 0; from < columns; from += CELLS_AT_ONCE) {
      const to = Math.min(from + CELLS_AT_ONCE, columns);
      this.#means.observe(sums, row * columns + from, row * columns + to);
      for (const [plane, into] of this.#row.entries()) addCells(signals[plane], this.#across, from, to, into);
    }
    for (const { field, share } of this.#down[row] ?? []) {
      for (const [plane, fields] of this.#fields.entries()) addFields(this.#row[plane], share, fields, field);
    }
  }
}

/** In which fields along a side each cell lies. */
function sharesOf(cells: number, size: number, pixels: number): Share[][] {
  const side = pixels / SIGNATURE_SIDE;
  return Array.from({ length: cells }, (_, cell) => {
    const [from, to] = [cell * size, Math.min((cell + 1) * size, pixels)];
    const shares: Share[] = [];
    for (let field = 0; field < SIGNATURE_SIDE; field++) {
      const common = Math.min(to, (field + 1) * side) - Math.max(from, field * side);
      if (common > 0) shares.push({ field, share: common / side });
    }
    return shares;
  });
}

function addCells(
  signals: Float64Array | undefined,
  across: readonly (readonly Share[])[],
  from: number,
  to: number,
  into: Float64Array,
): void {
  for (let cell = from; cell < to; cell++) {
    const signal = signals?.[cell - from] ?? 0;
    for (const { field, share } of across[cell] ?? []) into[field] = (into[field] ?? 0) + share * signal;
  }
}

function addFields(row: Float64Array | undefined, share: number, into: Float64Array, field: number): void {
  const at = field * SIGNATURE_SIDE;
  for (let column = 0; column < SIGNATURE_SIDE; column++) {
    into[at + column] = (into[at + column] ?? 0) + share * (row?.[column] ?? 0);
  }
}

/** Means of two by two fields. */
function halved(fields: Float64Array, into: Float64Array, at: number): void {
  for (let row = 0; row < HALF; row++) {
    for (let column = 0; column < HALF; column++) {
      const first = 2 * row * SIGNATURE_SIDE + 2 * column;
      const [a, b] = [fields[first] ?? 0, fields[first + 1] ?? 0];
      const [c, d] = [fields[first + SIGNATURE_SIDE] ?? 0, fields[first + SIGNATURE_SIDE + 1] ?? 0];
      into[at + row * HALF + column] = (a + b + c + d) / 4;
    }
  }
}
