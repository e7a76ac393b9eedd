/** Labels are the same whichever character marks drop frame; drop and non-drop are not the same. */
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
