/** Mean width of a letter per pixel of font size, and the room between two words. */
const LETTER = 0.58;
const ROOM = 6;

/** Height of a storey of words. */
export const STOREY = 13;

/**
 * On which storey above the drawing the word of each upright line stands, 0 the lowest: words that would run into one another
 * stand above one another.
 *
 * @param marks `x` in pixels, in any order
 */
export function storeysOf(
  marks: readonly { readonly x: number; readonly text: string }[],
  fontSize: number,
): number[] {
  const storeys: number[] = marks.map(() => 0);
  /** Where the last word of each storey ends. */
  const ends: number[] = [];
  const order = marks.map((_, index) => index).sort((a, b) => (marks[a]?.x ?? 0) - (marks[b]?.x ?? 0));
  for (const index of order) {
    const { x = 0, text = '' } = marks[index] ?? {};
    const half = (text.length * fontSize * LETTER) / 2;
    const free = ends.findIndex((end) => end + ROOM <= x - half);
    const storey = free < 0 ? ends.length : free;
    ends[storey] = x + half;
    storeys[index] = storey;
  }
  return storeys;
}
