/** Rows of a block where fewer are expected. */
const LEAST_ROWS = 256;
/**
 * Most rows of a block, since headers are not trusted: three hours at 25 frames a second.
 */
const MOST_ROWS = 2 ** 18;

/**
 * Columns of one number a frame that grow as frames come, block by block. Where as many frames come as were
 * expected there is one block, and nothing is kept twice; memory that was never written to is not taken.
 */
export class GrowingColumns<Name extends string> {
  readonly #names: readonly Name[];
  /** Of each column. */
  readonly #blocks: Float64Array[][];
  /** The last of each column. */
  #filling: readonly Float64Array[] = [];
  readonly #blockLength: number;
  #frames = 0;
  #finished: Readonly<Record<Name, Float64Array>> | null = null;

  /** @param expected rows; a guess is enough */
  constructor(names: readonly Name[], expected: number | null) {
    this.#names = names;
    this.#blocks = names.map(() => []);
    this.#blockLength = Math.min(Math.max(expected ?? 0, LEAST_ROWS), MOST_ROWS);
  }

  get frames(): number {
    return this.#frames;
  }

  /** NaN where the row has no such number. */
  push(row: Readonly<Partial<Record<Name, number>>>): void {
    if (this.#finished) throw new Error('a row after the last: finished columns do not grow');
    const at = this.#frames % this.#blockLength;
    if (at === 0) {
      this.#filling = this.#names.map(() => new Float64Array(this.#blockLength));
      for (const [column, block] of this.#filling.entries()) this.#blocks[column]?.push(block);
    }
    this.#filling.forEach((block, column) => {
      const name = this.#names[column];
      block[at] = (name === undefined ? undefined : row[name]) ?? Number.NaN;
    });
    this.#frames++;
  }

  /** The columns as a whole. After it they grow no more. */
  finish(): Readonly<Record<Name, Float64Array>> {
    if (this.#finished) return this.#finished;
    const columns = this.#names.map((name, column) => [name, this.#join(column)]);
    this.#finished = withColumns(Object.fromEntries(columns), this.#names);
    this.#filling = [];
    return this.#finished;
  }

  /** Releases the blocks: those of a feature film are about 70 MB. */
  #join(column: number): Float64Array {
    const [first, ...others] = this.#blocks[column] ?? [];
    if (first && others.length === 0) return first.subarray(0, this.#frames);
    const joined = new Float64Array(this.#frames);
    for (const [index, block] of (this.#blocks[column] ?? []).entries()) {
      const at = index * this.#blockLength;
      joined.set(block.subarray(0, this.#frames - at), at);
    }
    this.#blocks[column] = [];
    return joined;
  }
}

/** The same columns, checked to have these names. Throws where one is missing: a defect of goodgate. */
export function withColumns<Name extends string>(
  columns: Readonly<Record<string, Float64Array>>,
  names: readonly Name[],
): Readonly<Record<Name, Float64Array>> {
  if (!hasColumns(columns, names)) throw new Error(`columns are missing of ${names.join(', ')}`);
  return columns;
}

function hasColumns<Name extends string>(
  columns: Readonly<Record<string, Float64Array>>,
  names: readonly Name[],
): columns is Readonly<Record<Name, Float64Array>> {
  return names.every((name) => name in columns);
}
