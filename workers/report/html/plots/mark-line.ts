import type { LineSeriesOption } from 'echarts';
import { visibleText } from '../markup.js';
import { typeset } from '../typeset.js';
import { type Axis, shareOf } from './axis.js';
import { CARD } from './svg.js';

type MarkLine = NonNullable<LineSeriesOption['markLine']>;
type LabelPosition = 'start' | 'end' | `inside${'Start' | 'Middle' | 'End'}${'Top' | 'Bottom'}`;

/** A dashed line across a drawing, with its words. */
export interface Mark {
  readonly at: number;
  readonly name: string;
  readonly colour: string;
}

export interface PlacedMark extends Mark {
  readonly position: LabelPosition;
  /** From the line or its end to the words, CSS pixels. */
  readonly distance: number;
}

/** @param across the axis on which the lines have their places */
export function markLine(
  across: 'xAxis' | 'yAxis',
  marks: readonly PlacedMark[],
  fontSize: number,
): MarkLine {
  return {
    silent: true,
    symbol: 'none',
    animation: false,
    data: marks.map(({ at, name, colour, position, distance }) => ({
      [across]: at,
      lineStyle: { color: colour, type: 'dashed' as const, width: 1.5 },
      label: {
        // A function: a text would be read as a pattern, and target names come from outside.
        formatter: () => typeset(visibleText(name)),
        color: colour,
        fontSize,
        position,
        distance,
        textBorderColor: CARD,
        textBorderWidth: 3,
      },
    })),
  };
}

/** Mean width of a letter per pixel of font size, measured on the words of our own drawings in a browser. */
const LETTER = 0.56;

/** About how wide words are drawn, CSS pixels. */
export function wordsWidth(text: string, fontSize: number): number {
  return visibleText(text).length * fontSize * LETTER;
}

const UPRIGHT_WORDS = 11;
/** Between two words of one tier. */
const GAP = 6;
const TIER = 13;

/**
 * Upright lines with their words at one end: those that would run into one another stand in tiers.
 *
 * @param paper width of the drawing between its sides, CSS pixels
 * @param position the end of the lines that is at the top of the drawing
 * @returns the lines, and how much height the tiers above the first take
 */
export function uprightLines(
  marks: readonly Mark[],
  axis: Axis,
  paper: number,
  position: 'start' | 'end',
): { readonly lines: MarkLine; readonly height: number } {
  const tiers = tiersOf(
    marks.map(({ at, name }) => ({ x: paper * shareOf(at, axis), width: wordsWidth(name, UPRIGHT_WORDS) })),
  );
  const placed = marks.map((mark, index) => ({
    ...mark,
    position,
    distance: 3 + (tiers[index] ?? 0) * TIER,
  }));
  return { lines: markLine('xAxis', placed, UPRIGHT_WORDS), height: Math.max(0, ...tiers) * TIER };
}

/**
 * In which tier the words of each line stand, 0 next to the drawing.
 *
 * @param words middle and width, CSS pixels, in any order
 */
export function tiersOf(words: readonly { readonly x: number; readonly width: number }[]): number[] {
  const tiers: number[] = words.map(() => 0);
  /** Where the last words of each tier end. */
  const ends: number[] = [];
  const order = [...words.entries()].sort(([, a], [, b]) => a.x - b.x);
  for (const [index, { x, width }] of order) {
    const free = ends.findIndex((end) => end + GAP <= x - width / 2);
    const tier = free < 0 ? ends.length : free;
    ends[tier] = x + width / 2;
    tiers[index] = tier;
  }
  return tiers;
}
