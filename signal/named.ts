/** Something that standards, documents and crews call by different names. */
export interface Named<Name extends string = string> {
  /**
   * The name in every document of this project: that of ITU-T H.273 as ffmpeg spells it, else its own
   * document's.
   */
  readonly name: Name;
  /**
   * Other words of the trade for it, the usual one first. Spellings of one word need not be listed: see
   * `spelling`.
   */
  readonly aliases: readonly string[];
}

/** What of a name counts: `S-Log3`, `slog3` and `S Log 3` are one word. */
export function spelling(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]/g, '');
}

/** The one that is called so, by its name or by another word for it, in any spelling. Null where none is. */
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

/** `smpte2084 (PQ)`: the name, and the word crews use where that is another. */
export function shownName({ name, aliases: [alias] }: Named): string {
  return alias === undefined ? name : `${name} (${alias})`;
}
