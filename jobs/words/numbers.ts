/**
 * Numbers in words, for findings, report, terminal, CSV, JUnit and logs alike.
 *
 * One rule of typing: text is what a keyboard can type (`-23`, `1920 x 1080`, a plain blank before the unit),
 * so that it can be pasted, searched and read by programs; only an HTML page sets it with a long minus, a
 * multiplication sign and blanks that do not break (typeset.ts). Counts are grouped (`90,000 frames`);
 * figures with a unit and frame numbers, which people paste, are not. What rounds to nothing has no sign.
 */

/** @param digits decimals, always all of them */
export function fixed(value: number, digits: number): string {
  if (!Number.isFinite(value)) return unbounded(value);
  return unsignedZero(value.toFixed(digits));
}

/** With a sign on either side of nothing: `+0.5`, `-0.5`, `0.0`. */
export function signed(value: number, digits: number): string {
  const text = fixed(value, digits);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** As many digits as say something, and no exponent: 1000 and 0.0123 with three. */
export function significant(value: number, digits: number): string {
  if (!Number.isFinite(value)) return unbounded(value);
  const text = String(Number(value.toPrecision(digits)));
  const exponent = /e(-\d+)$/.exec(text)?.[1];
  return unsignedZero(
    exponent === undefined ? text : value.toFixed(digits - 1 - Number(exponent)).replace(/\.?0+$/, ''),
  );
}

/** A number of things, which may be halves of flashes: `90,000`, `4.5`. */
export function grouped(value: number): string {
  return Number.isFinite(value) ? unsignedZero(value.toLocaleString('en')) : unbounded(value);
}

/** `1 frame`, `90,000 frames`. */
export function count(value: number, one: string, many = `${one}s`): string {
  return `${grouped(value)} ${value === 1 ? one : many}`;
}

/** `prores or ffv1`. */
export function oneOf(words: readonly (string | number)[]): string {
  return words.join(' or ');
}

/** `a, b, c and 197 more`: the first of many names. */
export function firstOf(names: readonly string[], most: number): string {
  const rest = names.length - most;
  return rest > 0 ? `${names.slice(0, most).join(', ')} and ${grouped(rest)} more` : names.join(', ');
}

function unsignedZero(text: string): string {
  return Number(text) === 0 ? text.replace('-', '') : text;
}

/** Silence in decibels is `-inf`; what is no number was not measured. */
function unbounded(value: number): string {
  if (Number.isNaN(value)) return 'unknown';
  return value > 0 ? 'inf' : '-inf';
}
