import type { Colour } from '../../../../../jobs/manifest/colour.js';
import type { Flashes } from '../../../../../jobs/measurement/measured-flashes.js';
import type { Measurement } from '../../../../../jobs/measurement/measurement.js';
import { parseRational } from '../../../../../signal/rational.js';
import { frameClock } from '../../../../../workers/measure/figures/frame-ranges.js';
import { flashFigures } from '../../../../../workers/measure/picture/flash/flash-figures.js';
import {
  type FlashColumn,
  type FlashStudy,
  flashStudy,
} from '../../../../../workers/measure/picture/flash/flash-study.js';
import {
  cellGrid,
  type FrameFeatures,
} from '../../../../../workers/measure/picture/kernel/frame-features.js';
import { type PicturePlan, picturePlan } from '../../../../../workers/measure/picture/plan/picture-plan.js';
import { type NaivePicture, naiveFacts, pixelFormatName } from '../kernel/naive-picture.js';

/**
 * Films of flat fields for the flash screening, made in memory and never written to a file anybody could
 * play. What the kernels give the screening is worked out here from its definition.
 */
export interface Film {
  readonly shape: Omit<NaivePicture, 'planes'>;
  /** As documents write it. */
  readonly rate: string;
  /** Y', Cb, Cr; G', B', R'; or grey alone. */
  readonly frames: readonly NaivePicture['planes'][];
}

export const SDR: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
export const PQ2100: Colour = {
  primaries: 'bt2020',
  transfer: 'smpte2084',
  matrix: 'bt2020nc',
  range: 'narrow',
};
export const HLG2100: Colour = { ...PQ2100, transfer: 'arib-std-b67' };

/** 64x40: eight by five cells of 8 pixels, so that a cell is 2.5 % of the screen. */
export const GREY: Film['shape'] = {
  width: 64,
  height: 40,
  depth: 10,
  model: 'grey',
  shiftX: 0,
  shiftY: 0,
  colour: SDR,
  interlaced: false,
};
export const RGB: Film['shape'] = { ...GREY, model: 'rgb', colour: { ...SDR, range: 'full' } };

/** The codes of one pixel, plane by plane. */
export type Codes = readonly number[];

/** A frame whose cells of 8x8 pixels, left to right and top to bottom, are flat. */
export function ofCells(shape: Film['shape'], codesOf: (cell: number) => Codes): NaivePicture['planes'] {
  const columns = Math.ceil(shape.width / 8);
  const cellOf = (pixel: number): number => {
    const x = pixel % shape.width;
    const y = Math.floor(pixel / shape.width);
    return Math.floor(y / 8) * columns + Math.floor(x / 8);
  };
  const planes = shape.model === 'grey' ? 1 : 3;
  return Array.from({ length: planes }, (_, plane) =>
    Array.from({ length: shape.width * shape.height }, (_, pixel) => codesOf(cellOf(pixel))[plane] ?? 0),
  );
}

export const flat = (shape: Film['shape'], codes: Codes): NaivePicture['planes'] =>
  ofCells(shape, () => codes);

/** A film that is `off`, and `on` for `width` frames from each of `leads` on. */
export function pulses(
  shape: Film['shape'],
  rate: string,
  { leads, width, frames }: { leads: readonly number[]; width: number; frames: number },
  off: NaivePicture['planes'],
  on: NaivePicture['planes'],
): Film {
  const isOn = (frame: number): boolean => leads.some((lead) => frame >= lead && frame < lead + width);
  return { shape, rate, frames: Array.from({ length: frames }, (_, frame) => (isOn(frame) ? on : off)) };
}

export function planOf(shape: Film['shape']): PicturePlan {
  const picture = { ...shape, planes: [] };
  const plan = picturePlan(naiveFacts(picture, pixelFormatName(picture)), shape.colour);
  if ('unknown' in plan) throw new Error(plan.unknown);
  return plan;
}

/** The features of a frame by their definition, as far as the screening looks at them. */
export function naiveFeatures(
  shape: Film['shape'],
  planes: NaivePicture['planes'],
  frame: number,
  before: NaivePicture['planes'] | null = null,
): FrameFeatures {
  const grid = cellGrid(shape.width, shape.height);
  const cells = grid.columns * grid.rows;
  const sums = planes.map((codes, plane) => {
    const isChroma = shape.model === 'ycbcr' && plane > 0;
    const [shiftX, shiftY] = isChroma ? [shape.shiftX, shape.shiftY] : [0, 0];
    const width = Math.ceil(shape.width / 2 ** shiftX);
    const sum = new Uint32Array(cells);
    codes.forEach((code, at) => {
      const x = (at % width) * 2 ** shiftX;
      const y = Math.floor(at / width) * 2 ** shiftY;
      const cell = Math.floor(y / grid.size) * grid.columns + Math.floor(x / grid.size);
      sum[cell] = (sum[cell] ?? 0) + code;
    });
    return sum;
  });
  const histograms = planes.map((codes) => {
    const counts = new Uint32Array(2 ** shape.depth);
    for (const code of codes) counts[code] = (counts[code] ?? 0) + 1;
    return counts;
  });
  const change = before === null ? null : changeOf(shape, planes[0] ?? [], before[0] ?? []);
  const unused = new Uint16Array(0);
  return {
    frame,
    histograms,
    rowMin: unused,
    rowMax: unused,
    columnMin: unused,
    columnMax: unused,
    cells: {
      ...grid,
      sums,
      roughness: { frame: new Uint32Array(cells), field: new Uint32Array(cells) },
    },
    change,
  };
}

/** Plane 0 against that of the frame before. */
function changeOf(
  { width, height }: Film['shape'],
  now: NaivePicture['planes'][number],
  before: NaivePicture['planes'][number],
): FrameFeatures['change'] {
  const grid = cellGrid(width, height);
  const perCell = (): Uint32Array => new Uint32Array(grid.columns * grid.rows);
  const change = { even: perCell(), odd: perCell(), most: 0 };
  now.forEach((code, at) => {
    const x = at % width;
    const y = Math.floor(at / width);
    const cell = Math.floor(y / grid.size) * grid.columns + Math.floor(x / grid.size);
    const codes = Math.abs(code - (before[at] ?? 0));
    const rows = y % 2 === 0 ? change.even : change.odd;
    rows[cell] = (rows[cell] ?? 0) + codes;
    change.most = Math.max(change.most, codes);
  });
  return { ...change, weave: { even: perCell(), odd: perCell() } };
}

export function studyOf(film: Film): FlashStudy {
  const study = flashStudy(planOf(film.shape), parseRational(film.rate));
  if (study === null) throw new Error('this film is not judged');
  return study;
}

/** Columns of the frames `[from, to)`, the study having begun `warmUp` frames before. */
export function columnsOf(
  film: Film,
  from = 0,
  to = film.frames.length,
  warmUp = 0,
): Record<FlashColumn, Float64Array> {
  const study = studyOf(film);
  const rows: Readonly<Record<FlashColumn, number>>[] = [];
  const first = Math.max(from - warmUp, 0);
  for (let frame = first; frame < to; frame++) {
    const before = frame === first ? null : (film.frames[frame - 1] ?? []);
    const row = study.observe(naiveFeatures(film.shape, film.frames[frame] ?? [], frame, before));
    if (frame >= from) rows.push({ ...row });
  }
  const column = (name: FlashColumn) => [name, Float64Array.from(rows, (row) => row[name])] as const;
  return Object.fromEntries(study.columns.map(column)) as Record<FlashColumn, Float64Array>;
}

/** The result of the screening of a film that begins at 10:00:00:00. */
export function screened(film: Film): { flashes: Flashes; events: Measurement['events'] } {
  const rate = parseRational(film.rate);
  const clock = frameClock('10:00:00:00', film.rate);
  const { flashes, events } = flashFigures(planOf(film.shape), rate, columnsOf(film), clock);
  if (flashes === null) throw new Error('this film is not judged');
  return { flashes, events };
}
