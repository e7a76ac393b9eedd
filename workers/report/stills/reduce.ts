import type { PicturePlan } from '../../measure/picture/plan/picture-plan.js';
import { type FillRow, rgbRow } from '../../measure/picture/rows/gamut-filter.js';

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** The longer side of a still, at most. Smaller pictures are left as they are. */
const LONGEST = 640;

/** Size of the still of a picture: square pixels, before it is turned upright. */
export function stillSize(picture: Size, sampleAspect: { readonly num: number; readonly den: number }): Size {
  const width = (picture.width * sampleAspect.num) / sampleAspect.den;
  const scale = Math.min(1, LONGEST / Math.max(width, picture.height));
  return {
    width: Math.max(1, Math.round(width * scale)),
    height: Math.max(1, Math.round(picture.height * scale)),
  };
}

/**
 * What one sample of the smaller row is made of: `weights.length` samples of the larger one, from `first` on.
 */
interface Share {
  readonly first: number;
  readonly weights: readonly number[];
}

/** Each of `to` equal parts of a row of `from` samples, by area; the weights of a part add up to 1. */
function shares(from: number, to: number): Share[] {
  const step = from / to;
  return Array.from({ length: to }, (_, i) => {
    const start = i * step;
    const end = Math.min((i + 1) * step, from);
    const first = Math.min(Math.floor(start + 1e-9), from - 1);
    const last = Math.max(Math.min(Math.ceil(end - 1e-9), from), first + 1);
    const covered = Array.from(
      { length: last - first },
      (_, k) => Math.min(end, first + k + 1) - Math.max(start, first + k),
    );
    const whole = covered.reduce((sum, part) => sum + part, 0);
    return { first, weights: covered.map((part) => part / whole) };
  });
}

/**
 * The picture averaged by area, as nominal R'G'B' signals (0 black, 1 white of its range; nothing limited),
 * three a pixel.
 */
export function reducePicture(plan: PicturePlan, fill: FillRow, size: Size): Float32Array {
  const { geometry, scale } = plan;
  const across = shares(geometry.width, size.width);
  const down = shares(geometry.height, size.height);
  const source = rgbRow(geometry.width);
  const channels = [source.red, source.green, source.blue];
  const narrow = new Float64Array(size.width * 3);
  let narrowRow = -1;
  const narrowed = (row: number): Float64Array => {
    if (row === narrowRow) return narrow;
    fill(row, 0, geometry.width, source);
    channels.forEach((steps, channel) => {
      across.forEach(({ first, weights }, x) => {
        let sum = 0;
        for (let k = 0; k < weights.length; k++) sum += (weights[k] ?? 0) * (steps[first + k] ?? 0);
        narrow[x * 3 + channel] = sum;
      });
    });
    narrowRow = row;
    return narrow;
  };
  const reduced = new Float32Array(size.width * size.height * 3);
  const mean = new Float64Array(size.width * 3);
  const span = scale.white - scale.black;
  down.forEach(({ first, weights }, y) => {
    mean.fill(0);
    weights.forEach((weight, k) => {
      const row = narrowed(first + k);
      for (let i = 0; i < mean.length; i++) mean[i] = (mean[i] ?? 0) + weight * (row[i] ?? 0);
    });
    const start = y * mean.length;
    for (let i = 0; i < mean.length; i++) reduced[start + i] = ((mean[i] ?? 0) - scale.black) / span;
  });
  return reduced;
}

/**
 * A mask of pixels as one of the smaller picture's: marked where any pixel below is, so that a single one is
 * not lost.
 */
export function reduceMask(mask: Uint8Array, picture: Size, size: Size): Uint8Array {
  const across = shares(picture.width, size.width);
  const down = shares(picture.height, size.height);
  const reduced = new Uint8Array(size.width * size.height);
  down.forEach((rows, y) => {
    for (let row = rows.first; row < rows.first + rows.weights.length; row++) {
      const start = row * picture.width;
      across.forEach(({ first, weights }, x) => {
        for (let at = start + first; at < start + first + weights.length; at++) {
          if (mask[at] === 1) reduced[y * size.width + x] = 1;
        }
      });
    }
  });
  return reduced;
}
