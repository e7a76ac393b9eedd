/** Columns of one number a frame that grow as frames come, by doubling. */
export class GrowingColumns<Name extends string> {
  readonly #names: readonly Name[];
  readonly #columns = new Map<Name, Float64Array>();
  #frames = 0;

  constructor(names: readonly Name[], capacity = 1024) {
    this.#names = names;
    for (const name of names) this.#columns.set(name, new Float64Array(capacity));
  }

  get frames(): number {
    return this.#frames;
  }

  /** NaN where the row has no such number. */
  push(row: Readonly<Partial<Record<Name, number>>>): void {
    for (const [name, column] of this.#columns) {
      let into = column;
      if (this.#frames === column.length) {
        into = new Float64Array(column.length * 2);
        into.set(column);
        this.#columns.set(name, into);
      }
      into[this.#frames] = row[name] ?? Number.NaN;
    }
    this.#frames++;
  }

  finish(): Readonly<Record<Name, Float64Array>> {
    const columns = [...this.#columns].map(([name, column]) => [name, column.slice(0, this.#frames)]);
    return withColumns(Object.fromEntries(columns), this.#names);
  }
}

/** The same columns, seen to have these names. Throws where one is missing: a mistake of ours. */
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
