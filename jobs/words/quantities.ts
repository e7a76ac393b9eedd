import { lumaPosition } from '../../signal/quantise.js';
import { fixed, grouped, significant } from './numbers.js';

/**
 * How each unit is written: with fixed decimals or significant digits, enough to see on which side of a limit
 * it is.
 */
const UNITS = {
  LUFS: (value: number) => fixed(value, 2),
  LU: (value: number) => fixed(value, 2),
  dB: (value: number) => fixed(value, 2),
  dBFS: (value: number) => fixed(value, 2),
  dBTP: (value: number) => fixed(value, 2),
  s: (value: number) => fixed(value, 3),
  Hz: (value: number) => significant(value, 6),
  'cd/m²': (value: number) => significant(value, 5),
  '%': (value: number) => significant(value, 4),
  'Mbit/s': (value: number) => significant(value, 4),
} as const;
export type Unit = keyof typeof UNITS;
export const UNIT_NAMES = Object.keys(UNITS) as readonly Unit[];

/** A figure formatted for its unit, but without it: for columns and axes that name the unit once. */
export function figure(value: number, unit: Unit): string {
  return UNITS[unit](value);
}

/** `-23.02 LUFS`; `none` where there was nothing to measure, as the loudness of silence. */
export function quantity(value: number | null, unit: Unit): string {
  return value === null ? 'none' : `${figure(value, unit)} ${unit}`;
}

/** A limit as its standard or target writes it, without idle zeros: `-23 LUFS`. */
export function limit(value: number, unit: Unit): string {
  return `${significant(value, 6)} ${unit}`;
}

/** Smallest percentage that is shown. */
const LEAST_PERCENT = 0.0001;

/** A fraction as percent: 0.0123 is `1.23 %`. */
export function percent(fraction: number): string {
  const value = fraction * 100;
  if (value > 0 && value < LEAST_PERCENT) return `under ${LEAST_PERCENT} %`;
  // No finer than the smallest that is shown.
  return quantity(Number(value.toFixed(4)), '%');
}

/** Progress in whole percent, never 100 before the end. */
export function progressPercent(fraction: number): string {
  return `${Math.floor(fraction * 100)} %`;
}

/** Exposure, counted from 18 % grey or from the exposure of the shoot: `+0.5 stops`. */
export function stops(value: number): string {
  return `${value > 0 ? '+' : ''}${significant(value, 4)} ${Math.abs(value) === 1 ? 'stop' : 'stops'}`;
}

/** Light, cd/m². */
export function nits(value: number): string {
  return quantity(value, 'cd/m²');
}

/** A code value, which may be fractional after a matrix: `984`, `983.4`. */
export function code(value: number): string {
  return Number.isInteger(value) ? fixed(value, 0) : String(Number(fixed(value, 1)));
}

/** A code value at a depth, in percent of the narrow range beside it: `984 (105.0 %)`. */
export function level(value: number, depth: number): string {
  const black = lumaPosition(0, depth, 'narrow');
  const white = lumaPosition(1, depth, 'narrow');
  return `${code(value)} (${levelPercent(((value - black) / (white - black)) * 100)} %)`;
}

/** Percent of the narrow range, 100 is nominal white: `105.0`. */
export function levelPercent(value: number): string {
  return fixed(value, 1);
}

/** @param bits a second */
export function bitRate(bits: number): string {
  return quantity(bits / 1e6, 'Mbit/s');
}

const BYTE_UNITS = ['B', 'kB', 'MB', 'GB', 'TB', 'PB'] as const;

/** `1.40 GB`: powers of a thousand, as disk sizes are given. */
export function bytes(value: number): string {
  let scaled = Math.round(value);
  let unit = 0;
  // A value that would round to 1000 of a unit is written as 1.00 of the next.
  while (scaled >= 999.5 && unit < BYTE_UNITS.length - 1) {
    scaled /= 1000;
    unit += 1;
  }
  const text = unit === 0 || scaled >= 999.5 ? grouped(Math.round(scaled)) : scaled.toPrecision(3);
  return `${text} ${BYTE_UNITS[unit] ?? ''}`;
}
