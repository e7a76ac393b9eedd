import type { Plane } from '../pairs/frame-planes.js';

/**
 * Where the copy took its samples: copy (x, y) is original (centre + scale (x - centre) + move), in samples.
 */
export interface Placement {
  readonly scaleX: number;
  readonly scaleY: number;
  readonly x: number;
  readonly y: number;
}

interface Laid {
  readonly original: Plane;
  readonly copy: Plane;
}

const NOWHERE: Placement = { scaleX: 1, scaleY: 1, x: 0, y: 0 };
/** Coarsest pictures that are laid over each other, samples along the shorter side. */
const LEAST_SIDE = 16;
const STEPS = 12;

/**
 * The placement of least squared error, the same for all pairs: Gauss-Newton steps over the gradient of the
 * original, from coarse pictures to fine ones (Lucas and Kanade, 1981). Finds what lies within some tenths of
 * the picture; elsewhere it ends anywhere, and `residual` shows that it explains nothing.
 *
 * @param kind `moved` seeks a displacement alone, `scaled` a scale for each direction too
 */
export function fitPlacement(pairs: readonly Laid[], kind: 'moved' | 'scaled'): Placement {
  const levels = [pairs];
  for (;;) {
    const last = levels.at(-1) ?? [];
    const side = Math.min(...last.map(({ copy }) => Math.min(copy.width, copy.height)));
    if (side < 2 * LEAST_SIDE) break;
    levels.push(last.map(({ original, copy }) => ({ original: halve(original), copy: halve(copy) })));
  }
  let placement = NOWHERE;
  for (const [index, level] of levels.toReversed().entries()) {
    if (index > 0) placement = { ...placement, x: 2 * placement.x, y: 2 * placement.y };
    for (let step = 0; step < STEPS; step++) {
      const next = improve(level, placement, kind);
      if (next === null) break;
      const moved = Math.abs(next.x - placement.x) + Math.abs(next.y - placement.y);
      placement = next;
      if (moved < 0.001) break;
    }
  }
  return placement;
}

function halve({ width, height, codes }: Plane): Plane {
  const [w, h] = [Math.floor(width / 2), Math.floor(height / 2)];
  const half = new Float32Array(w * h);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const i = 2 * y * width + 2 * x;
      half[y * w + x] =
        ((codes[i] ?? 0) + (codes[i + 1] ?? 0) + (codes[i + width] ?? 0) + (codes[i + width + 1] ?? 0)) / 4;
    }
  }
  return { width: w, height: h, codes: half };
}

/** One step; null where the pictures have too little detail to tell, or it leads out of the picture. */
function improve(pairs: readonly Laid[], placement: Placement, kind: 'moved' | 'scaled'): Placement | null {
  const normal = Array.from({ length: 4 }, () => new Float64Array(5));
  for (const { original, copy } of pairs) {
    const [centreX, centreY] = [(copy.width - 1) / 2, (copy.height - 1) / 2];
    forEachInside(original, copy, placement, (x, y, u, v) => {
      const error = (copy.codes[y * copy.width + x] ?? 0) - bilinear(original, u, v);
      const acrossBy = bilinear(original, u + 0.5, v) - bilinear(original, u - 0.5, v);
      const downBy = bilinear(original, u, v + 0.5) - bilinear(original, u, v - 0.5);
      const row =
        kind === 'moved'
          ? [acrossBy, downBy, 0, 0]
          : [acrossBy, downBy, acrossBy * (x - centreX), downBy * (y - centreY)];
      for (let i = 0; i < 4; i++) {
        const into = normal[i];
        const a = row[i] ?? 0;
        if (into === undefined || a === 0) continue;
        for (let j = 0; j < 4; j++) into[j] = (into[j] ?? 0) + a * (row[j] ?? 0);
        into[4] = (into[4] ?? 0) + a * error;
      }
    });
  }
  const change = solve(normal, kind === 'moved' ? 2 : 4);
  if (change === null) return null;
  const [x = 0, y = 0, scaleX = 0, scaleY = 0] = change;
  const next = {
    ...{ x: placement.x + x, y: placement.y + y },
    ...{ scaleX: placement.scaleX + scaleX, scaleY: placement.scaleY + scaleY },
  };
  const isSane = [next.scaleX, next.scaleY].every((scale) => scale > 0.4 && scale < 2.5);
  return isSane && Number.isFinite(x + y) ? next : null;
}

/** Gauss's elimination with pivots of `size` equations, the right side in column 4; null where singular. */
function solve(rows: readonly Float64Array[], size: number): number[] | null {
  const m = rows.slice(0, size).map((row) => [...row.slice(0, size), row[4] ?? 0]);
  for (let i = 0; i < size; i++) {
    const order = m.slice(i).sort((a, b) => Math.abs(b[i] ?? 0) - Math.abs(a[i] ?? 0));
    m.splice(i, size - i, ...order);
    const pivot = m[i];
    const head = pivot?.[i] ?? 0;
    if (pivot === undefined || Math.abs(head) < 1e-9) return null;
    for (const [k, row] of m.entries()) {
      if (k === i) continue;
      const factor = (row[i] ?? 0) / head;
      for (let j = i; j <= size; j++) row[j] = (row[j] ?? 0) - factor * (pivot[j] ?? 0);
    }
  }
  return m.map((row, i) => (row[size] ?? 0) / (row[i] ?? 1));
}

/** Samples of the copy that lie well inside the original, with the place there. */
function forEachInside(
  original: Plane,
  copy: Plane,
  { scaleX, scaleY, x: moveX, y: moveY }: Placement,
  see: (x: number, y: number, u: number, v: number) => void,
): void {
  const [centreX, centreY] = [(copy.width - 1) / 2, (copy.height - 1) / 2];
  for (let y = 0; y < copy.height; y++) {
    const v = centreY + scaleY * (y - centreY) + moveY;
    if (v < 1 || v > original.height - 3) continue;
    for (let x = 0; x < copy.width; x++) {
      const u = centreX + scaleX * (x - centreX) + moveX;
      if (u >= 1 && u <= original.width - 3) see(x, y, u, v);
    }
  }
}

function bilinear({ width, codes }: Plane, u: number, v: number): number {
  const [x, y] = [Math.floor(u), Math.floor(v)];
  const [fx, fy] = [u - x, v - y];
  const i = y * width + x;
  const above = (codes[i] ?? 0) * (1 - fx) + (codes[i + 1] ?? 0) * fx;
  const below = (codes[i + width] ?? 0) * (1 - fx) + (codes[i + width + 1] ?? 0) * fx;
  return above * (1 - fy) + below * fy;
}

/** Cubic convolution of Catmull and Rom through four samples. */
function cubic(a: number, b: number, c: number, d: number, t: number): number {
  return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}

function bicubic({ width, codes }: Plane, u: number, v: number): number {
  const [x, y] = [Math.floor(u), Math.floor(v)];
  const row = (line: number): number => {
    const i = line * width + x;
    return cubic(codes[i - 1] ?? 0, codes[i] ?? 0, codes[i + 1] ?? 0, codes[i + 2] ?? 0, u - x);
  };
  return cubic(row(y - 1), row(y), row(y + 1), row(y + 2), v - y);
}

/** Squared error of the copy as it lies, and laid as the placement says, over the same samples. */
export function residual(pairs: readonly Laid[], placement: Placement): { base: number; left: number } {
  const sum = { base: 0, left: 0 };
  for (const { original, copy } of pairs) {
    forEachInside(original, copy, placement, (x, y, u, v) => {
      const is = copy.codes[y * copy.width + x] ?? 0;
      sum.base += (is - (original.codes[y * original.width + x] ?? 0)) ** 2;
      sum.left += (is - bicubic(original, u, v)) ** 2;
    });
  }
  return sum;
}
