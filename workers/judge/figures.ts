import { lumaPosition } from '../../signal/quantise.js';

/** How figures are written in findings: in the trade's units, with digits enough to see which side of a limit they are. */

/** A fraction as percent: 0.0123 is `1.23 %`. */
export function percent(fraction: number): string {
  return `${significant(fraction * 100, 4)} %`;
}

export function nits(value: number): string {
  return `${significant(value, 5)} cd/m²`;
}

export function lufs(value: number): string {
  return `${value.toFixed(2)} LUFS`;
}

/** A code value at a depth, in percent of the narrow range beside it: `984 (105.0 %)`. */
export function level(code: number, depth: number): string {
  const black = lumaPosition(0, depth, 'narrow');
  const white = lumaPosition(1, depth, 'narrow');
  return `${Number(code.toFixed(1))} (${(((code - black) / (white - black)) * 100).toFixed(1)} %)`;
}

export function count(value: number, singular: string): string {
  return `${value.toLocaleString('en')} ${singular}${value === 1 ? '' : 's'}`;
}

export function oneOf(words: readonly (string | number)[]): string {
  return words.join(' or ');
}

function significant(value: number, digits: number): string {
  return String(Number(value.toPrecision(digits)));
}
