import { significant } from '../../../../jobs/words/numbers.js';
import { typeset } from '../typeset.js';
import { RULE, SOFT } from './svg.js';

/** The scale of one side of a drawing. */
export interface Axis {
  readonly min: number;
  readonly max: number;
  readonly log?: boolean;
  readonly interval?: number;
  /** Figures as they are where there is none; an empty text leaves a tick without words. */
  readonly label?: (value: number) => string;
  /** Where words stand, when round figures are not the ones wanted. */
  readonly ticks?: readonly number[];
}

/** Size of the words at every axis, CSS pixels. */
export const AXIS_WORDS = 12;

/** @param look `line`: a line with ticks along the axis; `grid`: lines across the drawing */
export function valueAxis(axis: Axis, look: { readonly line: boolean; readonly grid: boolean }) {
  const { min, max, log, interval, label, ticks } = axis;
  const places = ticks === undefined ? {} : { customValues: [...ticks] };
  const shared = {
    min,
    max,
    axisLine: { show: look.line, onZero: false, lineStyle: { color: RULE } },
    axisTick: { show: look.line, lineStyle: { color: SOFT }, ...places },
    splitLine: { show: look.grid, lineStyle: { color: RULE } },
    axisLabel: {
      color: SOFT,
      fontSize: AXIS_WORDS,
      hideOverlap: true,
      formatter: (value: number) => typeset(label === undefined ? significant(value, 6) : label(value)),
      ...places,
    },
  };
  return log
    ? { ...shared, type: 'log' as const, logBase: 10 }
    : { ...shared, type: 'value' as const, ...(interval === undefined ? {} : { interval }) };
}

/** How far along its axis a value stands, 0 to 1. */
export function shareOf(value: number, { min, max, log = false }: Axis): number {
  const scale = log ? Math.log10 : (plain: number): number => plain;
  return (scale(value) - scale(min)) / (scale(max) - scale(min));
}

/**
 * The value, or the nearer end of its axis: a black frame has no place on a log scale, silence none on one of
 * loudness.
 */
export function held(value: number, { min, max }: Axis): number {
  return Math.min(Math.max(value, min), max);
}

/** `500`, `1k`, `10k`: where light runs over decades. */
export function thousands(value: number): string {
  return value >= 1000 ? `${value / 1000}k` : significant(value, 6);
}
