/** The four tags of ITU-T H.273 by which a picture says what its code values mean. */
export const TAGS = ['primaries', 'transfer', 'matrix', 'range'] as const;
export type Tag = (typeof TAGS)[number];

/** Values of a tag that mean "not specified" (H.273 code point 2 and the reserved ones). */
const UNSPECIFIED: ReadonlySet<string> = new Set(['', 'unknown', 'unspecified', 'reserved']);

/** The value of a tag; null where it is not specified. */
export function statedTag(tag: string | null): string | null {
  return tag === null || UNSPECIFIED.has(tag) ? null : tag;
}
