/**
 * Formats numbers for findings, report, terminal, CSV, JUnit and logs.
 *
 * Text uses only characters of a keyboard (`-23`, `1920 x 1080`, a plain blank before the unit), so that it
 * can be pasted, searched and read by programs; only HTML pages use a minus sign, a multiplication sign and
 * non-breaking blanks (typeset.ts). Counts are grouped (`90,000 frames`); figures with a unit and frame
 * numbers, which people paste, are not. A value that rounds to zero has no sign.
 */

/** @param digits number of decimals, trailing zeros included */
export function fixed(value: number, digits: number): string {
  if (!Number.isFinite(value)) return unbounded(value);
  return unsignedZero(value.toFixed(digits));
}

/** With a sign unless it is zero: `+0.5`, `-0.5`, `0.0`. */
export function signed(value: number, digits: number): string {
  const text = fixed(value, digits);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** Rounded to significant digits, without exponent: 1000 and 0.0123 with three. */
export function significant(value: number, digits: number): string {
  if (!Number.isFinite(value)) return unbounded(value);
  const text = String(Number(value.toPrecision(digits)));
  const exponent = /e(-\d+)$/.exec(text)?.[1];
  return unsignedZero(
    exponent === undefined ? text : value.toFixed(digits - 1 - Number(exponent)).replace(/\.?0+$/, ''),
  );
}

/** A count, which may be a half (of flashes): `90,000`, `4.5`. */
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

/** Silence in decibels is `-inf`; NaN was not measured. */
function unbounded(value: number): string {
  if (Number.isNaN(value)) return 'unknown';
  return value > 0 ? 'inf' : '-inf';
}
