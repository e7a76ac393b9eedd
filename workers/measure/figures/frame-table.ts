import { significant } from '../../../jobs/words/numbers.js';
import type { Timestamps } from '../decoding/timeline.js';
import type { FrameColumns, PictureTotals } from '../picture/recording/picture-totals.js';
import type { StudyName } from '../picture/recording/studies.js';
import type { FrameClock } from './frame-ranges.js';

/** The figures of each frame of a measured file. */
export interface FrameFigures {
  readonly totals: PictureTotals;
  /** Null when not every frame has a time stamp. */
  readonly stamps: Timestamps | null;
  readonly clock: FrameClock;
}

interface TableColumn {
  readonly name: string;
  readonly meaning: string;
  readonly value: (figures: FrameFigures, frame: number) => number | string | null;
}

function figure(name: string, column: keyof FrameColumns, meaning: string): TableColumn {
  return { name, meaning, value: ({ totals }, frame) => totals.columns[column][frame] ?? null };
}

function studied(name: string, study: StudyName, column: string, meaning: string): TableColumn {
  return { name, meaning, value: ({ totals }, frame) => totals.studies[study]?.[column]?.[frame] ?? null };
}

/** Columns of the per-frame table, left to right. A figure that does not apply is an empty field. */
export const FRAME_TABLE: readonly TableColumn[] = [
  { name: 'frame', meaning: 'number of the frame, from 0', value: (_, frame) => frame },
  {
    name: 'timecode',
    meaning: 'from the start timecode',
    value: ({ clock }, frame) => clock.timecode(frame),
  },
  {
    name: 'seconds',
    meaning: 'time stamp of the decoded frame, s',
    value: ({ stamps }, frame) =>
      stamps ? ((stamps.ticks[frame] ?? Number.NaN) * stamps.timeBase.num) / stamps.timeBase.den : null,
  },
  figure('luma_min', 'lumaMin', "lowest code of Y' (empty for R'G'B')"),
  figure('luma_max', 'lumaMax', "highest code of Y'"),
  figure('rgb_min', 'rgbMin', "lowest of R'G'B' after the matrix, code"),
  figure('rgb_max', 'rgbMax', "highest of R'G'B' after the matrix, code"),
  figure('r103_area', 'gamutArea', 'EBU R 103: share of the picture outside the tolerance'),
  figure('reserved', 'reserved', '1: has samples at codes SDI reserves'),
  figure('light_max', 'lightMax', 'highest max(R,G,B), cd/m2 (PQ, HLG)'),
  figure('light_p9999', 'lightP9999', '99.99 percentile of max(R,G,B), cd/m2'),
  figure('light_average', 'lightAverage', 'frame average of max(R,G,B), cd/m2'),
  figure('outside_p3_area', 'p3Area', 'share of the picture outside P3-D65'),
  studied('mean', 'temporal', 'mean', "mean of Y' (G' of R'G'B'), 0 black, 1 white"),
  studied('dark_area', 'temporal', 'darkArea', 'dark share of the picture'),
  studied(
    'change_mean',
    'temporal',
    'changeMean',
    'mean difference from the previous frame, 1 is black to white',
  ),
  studied('change_most', 'temporal', 'changeMost', 'largest difference from the previous frame'),
  studied(
    'unlike',
    'temporal',
    'unlike',
    'unlikeness to the previous frame: 0 the same, about 1 another picture',
  ),
  studied('bar_top', 'temporal', 'barTop', 'rows at the top that are completely black'),
  studied('bar_bottom', 'temporal', 'barBottom', 'rows at the bottom'),
  studied('bar_left', 'temporal', 'barLeft', 'columns at the left'),
  studied('bar_right', 'temporal', 'barRight', 'columns at the right'),
  studied(
    'flash_up',
    'flashes',
    'flashUp',
    'share of the screen that became brighter by a potentially harmful step',
  ),
  studied('flash_down', 'flashes', 'flashDown', 'the same, darker'),
  studied('red_up', 'flashes', 'redUp', 'share of the screen that turned saturated red'),
  studied('red_down', 'flashes', 'redDown', 'the same, back'),
];

/** Shortest form with seven digits, more than the precision of any figure. */
function field(value: number | string | null): string {
  if (value === null) return '';
  if (typeof value === 'string') return value;
  return Number.isNaN(value) ? '' : significant(value, 7);
}

const LINES_A_PIECE = 500;

/**
 * The per-frame table as CSV (RFC 4180) in pieces: a header, then a line a frame. Numbers have a decimal
 * point.
 */
export function* frameTableCsv(figures: FrameFigures): Generator<string> {
  let piece = `${FRAME_TABLE.map(({ name }) => name).join(',')}\r\n`;
  for (let frame = 0; frame < figures.totals.frames; frame++) {
    piece += `${FRAME_TABLE.map(({ value }) => field(value(figures, frame))).join(',')}\r\n`;
    if ((frame + 1) % LINES_A_PIECE > 0) continue;
    yield piece;
    piece = '';
  }
  yield piece;
}
