import type { Colour } from '../../../../../jobs/manifest/colour.js';
import type { MeasuredTemporal } from '../../../../../jobs/measurement/measured-temporal.js';
import { measuredTemporal } from '../../../../../jobs/measurement/measured-temporal.js';
import { chromaLevels, lumaPosition } from '../../../../../signal/quantise.js';
import { frameClock } from '../../../../../workers/measure/figures/frame-ranges.js';
import { type PicturePlan, picturePlan } from '../../../../../workers/measure/picture/plan/picture-plan.js';
import type { StudyColumns } from '../../../../../workers/measure/picture/recording/frame-study.js';
import {
  TEMPORAL_COLUMNS,
  type TemporalColumn,
} from '../../../../../workers/measure/picture/temporal/temporal-columns.js';
import { temporalFigures } from '../../../../../workers/measure/picture/temporal/temporal-figures.js';
import { TemporalStudy } from '../../../../../workers/measure/picture/temporal/temporal-study.js';
import { scalarFeatures } from '../../../../oracle/scalar-features.js';
import { type NaivePicture, naiveFacts, pixelFormatName } from '../kernel/naive-picture.js';

/** Brightness of a pixel, signal 0 to 1; or the signals of all three planes. */
export type Pixel = number | readonly [number, number, number];
export type Frame = (x: number, y: number) => Pixel;

export interface Raster {
  readonly width: number;
  readonly height: number;
  readonly depth?: number;
  readonly model?: NaivePicture['model'];
  readonly range?: 'narrow' | 'full';
  readonly transfer?: Colour['transfer'];
}
export const RASTER: Raster = { width: 96, height: 54 };

/** A made clip: planes of a 4:4:4 picture, of R'G'B' (given as G, B, R) or grey. */
export class Clip {
  readonly plan: PicturePlan;
  readonly planes: readonly (readonly Uint16Array[])[];

  constructor(
    frames: readonly Frame[],
    readonly raster: Raster = RASTER,
  ) {
    const { width, height, depth = 10, model = 'ycbcr', range = 'narrow', transfer = 'bt709' } = raster;
    const colour: Colour = { primaries: 'bt709', transfer, matrix: 'bt709', range };
    const picture = {
      width,
      height,
      depth,
      model,
      shiftX: 0,
      shiftY: 0,
      colour,
      interlaced: false,
      planes: [],
    };
    const plan = picturePlan(naiveFacts(picture, pixelFormatName(picture)), colour);
    if ('unknown' in plan) throw new Error(plan.unknown);
    this.plan = plan;
    const { neutral, max } = chromaLevels(depth, range);
    const codeOf = (signal: number, plane: number): number =>
      Math.round(
        model === 'ycbcr' && plane > 0
          ? neutral + signal * 2 * (max - neutral)
          : lumaPosition(signal, depth, range),
      );
    const samples = width * height;
    const top = 2 ** depth - 1;
    this.planes = frames.map((frame) => {
      const planes = Array.from({ length: model === 'grey' ? 1 : 3 }, () => new Uint16Array(samples));
      for (let i = 0; i < samples; i++) {
        const pixel = frame(i % width, Math.floor(i / width));
        const grey: readonly number[] =
          model === 'rgb' ? [Number(pixel), Number(pixel), Number(pixel)] : [Number(pixel), 0, 0];
        const signals = typeof pixel === 'number' ? grey : pixel;
        planes.forEach((plane, p) => {
          plane[i] = Math.min(Math.max(codeOf(signals[p] ?? 0, p), 0), top);
        });
      }
      return planes;
    });
  }

  /** Columns of the frames `[from, to)`, the study shown `lead` frames before them. */
  columns(from = 0, to = this.planes.length, lead = 0): StudyColumns<TemporalColumn> {
    const study = new TemporalStudy(this.plan);
    const { width, height } = this.raster;
    const rows: Record<TemporalColumn, number>[] = [];
    for (let frame = Math.max(from - lead, 0); frame < to; frame++) {
      const planes = (this.planes[frame] ?? []).map((codes) => ({ codes, width, height }));
      const before = frame > Math.max(from - lead, 0) ? (this.planes[frame - 1]?.[0] ?? null) : null;
      const row = study.observe(scalarFeatures(frame, this.plan, planes, before));
      if (frame >= from) rows.push(row);
    }
    const column = (name: TemporalColumn): Float64Array => Float64Array.from(rows, (row) => row[name]);
    const entries = TEMPORAL_COLUMNS.map((name) => [name, column(name)] as const);
    return Object.fromEntries(entries) as Record<TemporalColumn, Float64Array>;
  }

  figures(): MeasuredTemporal {
    return measuredTemporal.parse(
      temporalFigures(this.columns(), this.raster, frameClock('01:00:00:00', '25/1')),
    );
  }
}

/** From and to of ranges. */
export function spans(ranges: readonly { from: number; to: number }[]): [number, number][] {
  return ranges.map(({ from, to }) => [from, to]);
}

/** So many frames, made one by one. */
export function frames(count: number, frame: (n: number) => Frame): Frame[] {
  return Array.from({ length: count }, (_, n) => frame(n));
}

/** A number from 0 to 1 for whole coordinates: always the same for the same ones. */
export function hash(x: number, y: number, seed: number): number {
  let h = (x * 374_761_393 + y * 668_265_263 + seed * 2_147_483_647) | 0;
  h = Math.imul(h ^ (h >>> 13), 1_274_126_177);
  h = Math.imul(h ^ (h >>> 16), 2_246_822_507);
  return ((h ^ (h >>> 15)) >>> 0) / 2 ** 32;
}

/** A picture of soft blobs, levels 0.2 to 0.8, that moves by `dx` pixels; another seed is another picture. */
export function shot(seed: number, dx = 0): Frame {
  const size = 14;
  return (x, y) => {
    const u = (x + dx) / size;
    const v = y / size;
    const [i, j] = [Math.floor(u), Math.floor(v)];
    const [s, t] = [smooth(u - i), smooth(v - j)];
    const top = hash(i, j, seed) * (1 - s) + hash(i + 1, j, seed) * s;
    const bottom = hash(i, j + 1, seed) * (1 - s) + hash(i + 1, j + 1, seed) * s;
    return 0.2 + 0.6 * (top * (1 - t) + bottom * t);
  };
}

function smooth(t: number): number {
  return t * t * (3 - 2 * t);
}

export const flat =
  (pixel: Pixel): Frame =>
  () =>
    pixel;
export const BLACK = flat(0);

/** A frame with its levels changed. */
export function graded(frame: Frame, change: (level: number, x: number, y: number) => number): Frame {
  return (x, y) => change(Number(frame(x, y)), x, y);
}
/** A frame inside black bars. */
export function matted(
  frame: Frame,
  bars: { top?: number; bottom?: number; left?: number; right?: number },
  raster: Raster = RASTER,
): Frame {
  const { top = 0, bottom = 0, left = 0, right = 0 } = bars;
  return (x, y) =>
    x < left || y < top || x >= raster.width - right || y >= raster.height - bottom ? 0 : frame(x, y);
}
export function mixed(a: Frame, b: Frame, share: number): Frame {
  return (x, y) => Number(a(x, y)) * (1 - share) + Number(b(x, y)) * share;
}
