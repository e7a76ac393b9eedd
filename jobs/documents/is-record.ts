/** Whether a value read from a document is a map (a record), and not a list, a text or nothing. */
export function isRecord(value: unknown): value is Record<PropertyKey, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
