import { random } from '../fields/moving-picture.js';

/** A plane in double precision, row by row. */
export interface Plane {
  readonly width: number;
  readonly height: number;
  readonly values: Float64Array;
}

export function plane(width: number, height: number, at: (x: number, y: number) => number): Plane {
  const values = new Float64Array(width * height);
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) values[y * width + x] = at(x, y);
  return { width, height, values };
}

const value = ({ width, height, values }: Plane, x: number, y: number): number =>
  values[Math.min(Math.max(y, 0), height - 1) * width + Math.min(Math.max(x, 0), width - 1)] ?? 0;

export function gaussian(seed: number): () => number {
  const next = random(seed);
  for (let i = 0; i < 8; i++) next();
  return () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
}

/**
 * Natural-like texture: noise whose power falls with the square of frequency (a first-order recursion each
 * way). 1 is its deviation.
 */
export function texture(width: number, height: number, seed: number, memory = 0.9): Plane {
  const noise = gaussian(seed);
  const gain = 1 - memory * memory;
  const made = plane(width, height, () => noise() * gain);
  const { values } = made;
  for (let y = 0; y < height; y++) {
    for (let x = 1; x < width; x++) {
      values[y * width + x] = (values[y * width + x] ?? 0) + memory * (values[y * width + x - 1] ?? 0);
    }
  }
  for (let i = width; i < values.length; i++)
    values[i] = (values[i] ?? 0) + memory * (values[i - width] ?? 0);
  return made;
}

/**
 * Discs of flat colour with edges `soft` pixels wide at places that no grid knows of. 1 is the range of
 * colours.
 */
export function discs(width: number, height: number, seed: number, count = 60, soft = 1): Plane {
  const next = random(seed);
  for (let i = 0; i < 8; i++) next();
  const all = Array.from({ length: count }, () => ({
    x: next() * width,
    y: next() * height,
    radius: 4 + (next() * Math.min(width, height)) / 5,
    colour: next() - 0.5,
  }));
  return plane(width, height, (px, py) => {
    let colour = 0;
    for (const disc of all) {
      const inside = disc.radius - Math.hypot(px - disc.x, py - disc.y);
      const cover = Math.min(1, Math.max(0, inside / soft + 0.5));
      colour += cover * (disc.colour - colour);
    }
    return colour;
  });
}

/** Upright strokes and bars in lines, as of titles: on whole pixels, of odd and even widths. */
export function titles(width: number, height: number, seed: number): Plane {
  const next = random(seed);
  const made = plane(width, height, () => -0.4);
  for (let n = 0; n < (width * height) / 300; n++) {
    const upright = next() < 0.5;
    const [w, h] = upright
      ? [1 + Math.floor(3 * next()), 7 + Math.floor(9 * next())]
      : [5 + Math.floor(9 * next()), 1 + Math.floor(3 * next())];
    const x0 = Math.floor(next() * width);
    const y0 = Math.floor(next() * height);
    for (let y = y0; y < Math.min(y0 + h, height); y++) {
      for (let x = x0; x < Math.min(x0 + w, width); x++) made.values[y * width + x] = 0.4;
    }
  }
  return made;
}

/** Smooth all over: no detail near half the sampling. */
export function gradient(width: number, height: number): Plane {
  return plane(width, height, (x, y) => 0.4 * Math.sin(x / 90) * Math.cos(y / 70));
}

export function mix(...parts: readonly (readonly [number, Plane])[]): Plane {
  const [first] = parts;
  if (!first) throw new Error('nothing to mix');
  const { width, height } = first[1];
  const values = new Float64Array(width * height);
  for (const [gain, part] of parts) {
    for (let i = 0; i < values.length; i++) values[i] = (values[i] ?? 0) + gain * (part.values[i] ?? 0);
  }
  return { width, height, values };
}

export function transpose({ width, height, values }: Plane): Plane {
  return plane(height, width, (x, y) => values[x * width + y] ?? 0);
}

/**
 * Kernels, in samples of the smaller plane (definitions from memory; each sums to 1 over the shifts it is
 * used at, after normalising).
 */
const sinc = (t: number): number => (t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t));
export const KERNELS = {
  nearest: { reach: 0.5, at: (t: number) => (t > -0.5 && t <= 0.5 ? 1 : 0) },
  bilinear: { reach: 1, at: (t: number) => Math.max(0, 1 - Math.abs(t)) },
  // Keys' cubic convolution, a = -1/2.
  bicubic: {
    reach: 2,
    at: (t: number) => {
      const u = Math.abs(t);
      if (u < 1) return 1.5 * u ** 3 - 2.5 * u ** 2 + 1;
      return u < 2 ? -0.5 * u ** 3 + 2.5 * u ** 2 - 4 * u + 2 : 0;
    },
  },
  lanczos: { reach: 3, at: (t: number) => (Math.abs(t) < 3 ? sinc(t) * sinc(t / 3) : 0) },
} as const;
export type KernelName = keyof typeof KERNELS;

/**
 * Where the first sample of the smaller plane lies: on the first of the larger (co-sited) or between its
 * first ones (mid-sited).
 */
export type Siting = 'co' | 'mid';

/**
 * Scales across by from/to sizes: place x of the new plane is (x + s) * ratio - s of the old, s = 1/2 for
 * mid-sited samples.
 */
function scaleAcross(from: Plane, width: number, kernel: KernelName, siting: Siting): Plane {
  const ratio = from.width / width;
  const spread = Math.max(ratio, 1);
  const { reach, at } = KERNELS[kernel];
  const offset = siting === 'mid' ? 0.5 : 0;
  const taps = Array.from({ length: width }, (_, x) => {
    const centre = (x + offset) * ratio - offset;
    const first = Math.ceil(centre - reach * spread - 1e-9);
    const count = Math.floor(centre + reach * spread + 1e-9) - first + 1;
    const weights = Array.from({ length: count }, (_, i) => at((first + i - centre) / spread));
    const total = weights.reduce((a, b) => a + b, 0);
    // Co-sited nearest samples can fall between two: then the one before is meant.
    return total === 0
      ? { first: Math.round(centre), weights: [1] }
      : { first, weights: weights.map((w) => w / total) };
  });
  return plane(width, from.height, (x, y) => {
    const { first, weights } = taps[x] ?? { first: 0, weights: [] };
    let sum = 0;
    for (let i = 0; i < weights.length; i++) sum += (weights[i] ?? 0) * value(from, first + i, y);
    return sum;
  });
}

export interface Resampling {
  readonly down: KernelName;
  readonly up: KernelName;
  readonly siting: Siting;
}

/** Across, to a fraction of the samples and back to all of them. */
export function throughFewer(from: Plane, { down, up, siting }: Resampling, times = 2): Plane {
  const fewer = scaleAcross(from, Math.round(from.width / times), down, siting);
  return scaleAcross(fewer, from.width, up, siting);
}

export function throughFewerBothWays(from: Plane, how: Resampling, times = 2): Plane {
  return transpose(throughFewer(transpose(throughFewer(from, how, times)), how, times));
}

/** As codes: amplitude 1 is `gain` codes about the middle, with noise of `noise` codes. */
export function quantise(from: Plane, depth: number, gain: number, noise = 0, seed = 99): Uint16Array {
  const grain = gaussian(seed);
  const middle = 2 ** (depth - 1);
  return Uint16Array.from(from.values, (v) => {
    const code = Math.round(middle + gain * v + (noise > 0 ? noise * grain() : 0));
    return Math.min(2 ** depth - 1, Math.max(0, code));
  });
}
