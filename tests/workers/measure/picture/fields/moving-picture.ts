import {
  cellGrid,
  type FrameFeatures,
  isSampledRow,
} from '../../../../../workers/measure/picture/kernel/frame-features.js';

/** A picture in space and time: brightness in 8-bit codes at column x, row y, and time t in frames. */
export type Scene = (x: number, y: number, t: number) => number;

/** Repeatable random numbers from 0 to 1 (a 32-bit congruential generator; constants from memory). */
export function random(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Fine enough for a tenth of an 8-bit code, and many times as fast as the function. */
const COSINES = Float64Array.from({ length: 2 ** 14 }, (_, i) => Math.cos((2 * Math.PI * i) / 2 ** 14));
const cosineOf = (turns: number): number => COSINES[Math.floor(turns * 2 ** 14) & (2 ** 14 - 1)] ?? 0;

/**
 * A texture of plane waves that moves as a whole by (vx, vy) pixels a frame. No wave is shorter than
 * `shortest` pixels, and amplitudes grow with the wavelength as those of natural pictures do.
 */
export function movingTexture(seed: number, vx: number, vy: number, shortest = 4, amplitude = 40): Scene {
  const next = random(seed);
  const waves = Array.from({ length: 10 }, () => {
    const length = shortest * 2 ** (4 * next());
    const angle = 2 * Math.PI * next();
    return {
      fx: Math.cos(angle) / length,
      fy: Math.sin(angle) / length,
      phase: next(),
      amplitude: length,
    };
  });
  const power = Math.sqrt(waves.reduce((sum, { amplitude: a }) => sum + (a * a) / 2, 0));
  return (x, y, t) => {
    let sum = 0;
    for (const wave of waves) {
      const turns = wave.fx * (x - vx * t) + wave.fy * (y - vy * t) + wave.phase;
      sum += wave.amplitude * cosineOf(turns);
    }
    return 120 + (amplitude * sum) / power;
  };
}

/** A bright box with edges one pixel wide that crosses a still texture. */
export function movingBox(seed: number, vx: number, vy: number): Scene {
  const ground = movingTexture(seed, 0, 0);
  return (x, y, t) => {
    const left = ((20 + vx * t) % 56) + 0.3;
    const top = 12 + vy * t + 0.4;
    const inside = (p: number, from: number, length: number): number =>
      Math.max(0, Math.min(1, p - from, from + length - p));
    const cover = inside(x, left, 40) * inside(y, top, 40);
    return (1 - cover) * ground(x, y, t) + cover * 220;
  };
}

/** Lines of text-like strokes, two rows thick on even rows and two columns wide, that roll upwards. */
export function rollingTitles(seed: number, vy: number): Scene {
  const next = random(seed);
  const glyphs = Array.from({ length: 64 }, () => Array.from({ length: 8 }, () => next() < 0.5));
  return (x, y, t) => {
    const v = y + vy * t;
    const line = Math.floor(v / 20);
    const inLine = v - 20 * line;
    const column = Math.floor(x / 12);
    const glyph = glyphs[(((line * 7 + column) % 64) + 64) % 64] ?? [];
    const inGlyph = x - 12 * column;
    if (inLine > 14 || inGlyph > 9) return 16;
    const bar = Math.floor(inLine / 6);
    const onBar = inLine - 6 * bar < 2 && glyph[bar] === true;
    const stem = Math.floor(inGlyph / 4);
    const onStem = inGlyph - 4 * stem < 2 && glyph[3 + stem] === true;
    return onBar || onStem ? 220 : 16;
  };
}

/** Times, in frames of the scene, at which the even and the odd lines of frame n were taken. */
export type Sampling = (frame: number) => readonly [even: number, odd: number];

export const PROGRESSIVE: Sampling = (n) => [n, n];
export const TOP_FIRST: Sampling = (n) => [n, n + 0.5];
export const BOTTOM_FIRST: Sampling = (n) => [n + 0.5, n];

/**
 * Fields from a list of pictures: which picture each of the two fields of every frame of a period shows
 * (ITU-style letters as numbers).
 */
export function pulldown(
  period: readonly (readonly [even: number, odd: number])[],
  pictures: number,
): Sampling {
  return (n) => {
    const [even, odd] = period[n % period.length] ?? [0, 0];
    const base = pictures * Math.floor(n / period.length);
    return [base + even, base + odd];
  };
}

export interface Shape {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
}

/**
 * Draws frames at the depth of `shape`, with Gaussian noise of `noise` 8-bit codes that differs from picture
 * to picture, not from frame to frame.
 */
export function drawFrames(
  scene: Scene,
  sampling: Sampling,
  frames: number,
  shape: Shape,
  noise = 0,
): Uint16Array[] {
  const { width, height, depth } = shape;
  const unit = 2 ** (depth - 8);
  return Array.from({ length: frames }, (_, n) => {
    const plane = new Uint16Array(width * height);
    for (let y = 0; y < height; y++) {
      const t = sampling(n)[y % 2] ?? 0;
      const next = random(1 + Math.round(t * 1000) * 1013 + y);
      for (let x = 0; x < width; x++) {
        let value = scene(x, y, t);
        if (noise > 0) {
          value += noise * Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
        }
        plane[y * width + x] = Math.max(0, Math.min(255, value)) * unit + 0.5;
      }
    }
    return plane;
  });
}

/** Features by the words of their definitions, one pixel at a time. */
export function naiveFeatures(
  frame: number,
  { width, height }: Shape,
  here: Uint16Array,
  before: Uint16Array | null,
): FrameFeatures {
  const grid = cellGrid(width, height);
  const cells = grid.columns * grid.rows;
  const sums = new Uint32Array(cells);
  const inFrame = new Uint32Array(cells);
  const inField = new Uint32Array(cells);
  const change = [new Uint32Array(cells), new Uint32Array(cells)] as const;
  const weave = [new Uint32Array(cells), new Uint32Array(cells)] as const;
  let most = 0;
  const at = (plane: Uint16Array, x: number, y: number): number => plane[y * width + x] ?? Number.NaN;
  const add = (into: Uint32Array, cell: number, value: number): void => {
    into[cell] = (into[cell] ?? 0) + value;
  };
  for (let y = 0; y < height; y++) {
    const parity = y % 2 === 0 ? 0 : 1;
    for (let x = 0; x < width; x++) {
      const cell = Math.floor(y / grid.size) * grid.columns + Math.floor(x / grid.size);
      const c = at(here, x, y);
      add(sums, cell, c);
      if (before !== null) {
        const moved = Math.abs(c - at(before, x, y));
        add(change[parity], cell, moved);
        most = Math.max(most, moved);
      }
      if (!isSampledRow(y, height)) continue;
      const around = at(here, x, y - 1) + at(here, x, y + 1);
      add(inFrame, cell, Math.abs(around - 2 * c));
      add(inField, cell, Math.abs(at(here, x, y - 2) + at(here, x, y + 2) - 2 * c));
      if (before !== null) add(weave[parity], cell, Math.abs(around - 2 * at(before, x, y)));
    }
  }
  return {
    frame,
    histograms: [],
    rowMin: new Uint16Array(height),
    rowMax: new Uint16Array(height),
    columnMin: new Uint16Array(width),
    columnMax: new Uint16Array(width),
    cells: { ...grid, sums: [sums], roughness: { frame: inFrame, field: inField } },
    change:
      before === null
        ? null
        : { even: change[0], odd: change[1], most, weave: { even: weave[0], odd: weave[1] } },
  };
}
