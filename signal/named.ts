/** Something with different names in standards, documents and on set. */
export interface Named<Name extends string = string> {
  /**
   * The name in every document of this project: that of ITU-T H.273 in ffmpeg's spelling, otherwise that of
   * its own document.
   */
  readonly name: Name;
  /**
   * Other names in the trade, the usual one first. Different spellings need not be listed: see `spelling`.
   */
  readonly aliases: readonly string[];
}

/** Normalises a name: `S-Log3`, `slog3` and `S Log 3` are the same. */
export function spelling(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]/g, '');
}

/** The entry with this name or alias, in any spelling; null where there is none. */
export function findNamed<T extends Named>(all: readonly T[], text: string): T | null {
  const wanted = spelling(text);
  return (
    all.find(({ name, aliases }) => [name, ...aliases].some((word) => spelling(word) === wanted)) ?? null
  );
}

/** A look-up by the exact name, for hot loops. RangeError for a name that is not in the list. */
export function byName<Name extends string, T extends Named<Name>>(all: readonly T[]): (name: Name) => T {
  const found = new Map<string, T>(all.map((one) => [one.name, one]));
  return (name) => {
    const one = found.get(name);
    if (one === undefined) throw new RangeError(`nothing is named "${name}"`);
    return one;
  };
}

/** `smpte2084 (PQ)`: the name, with its usual alias. */
export function shownName({ name, aliases: [alias] }: Named): string {
  return alias === undefined ? name : `${name} (${alias})`;
}
