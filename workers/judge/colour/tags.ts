/** The four tags of ITU-T H.273 by which a picture says what its code values mean. */
export const TAGS = ['primaries', 'transfer', 'matrix', 'range'] as const;
export type Tag = (typeof TAGS)[number];

/** Words by which a tag says that it says nothing (H.273 code point 2 and the reserved ones). */
const SILENT_TAGS: ReadonlySet<string> = new Set(['', 'unknown', 'unspecified', 'reserved']);

/** What a tag says; null where it says nothing. */
export function spoken(tag: string | null): string | null {
  return tag === null || SILENT_TAGS.has(tag) ? null : tag;
}
