/** Timecodes are equal whichever character marks drop frame; drop and non-drop frame are never equal. */
export function sameLabel(a: string, b: string): boolean {
  return normalLabel(a) === normalLabel(b);
}

function normalLabel(label: string): string {
  const digits = label
    .trim()
    .split(/[:;.,]/)
    .join(':');
  return /[;.,]/.test(label) ? `${digits} drop` : digits;
}
