import type { Plane } from '../pairs/frame-planes.js';
import type { Explained, PairForm, Suspicion } from './mistake.js';
import { fitPlacement, type Placement, residual } from './placement.js';

/** Pictures are made this wide at most before they are laid over each other. */
const MOST_WIDTH = 256;
/** Chroma is looked at as it is, in a window of this size from the middle. */
const WINDOW = 256;
/** Displacements below these are what resampling does, in samples. */
const LEAST_PIXELS = 0.5;
const LEAST_CHROMA = 0.12;
/** Growth of the picture that counts as one, of its size. */
const LEAST_SCALE = 0.004;

interface Laid {
  readonly original: Plane;
  readonly copy: Plane;
}

/** A picture that was cropped, scaled or moved. */
export function suspectDisplaced(form: PairForm): Suspicion {
  const pairs: Laid[] = [];
  let shrunk = 1;
  let size = { width: 0, height: 0 };
  // Y', or G', which carries most of the detail.
  return {
    see({ original: [had], copy: [is] }) {
      if (had === undefined || is === undefined) return;
      shrunk = Math.max(1, Math.round(had.width / MOST_WIDTH));
      size = had;
      pairs.push({ original: shrink(had, shrunk), copy: shrink(is, shrunk) });
    },
    found() {
      if (pairs.length === 0 || size.width < 16 || size.height < 16 || form.depth === 0) return [];
      const placement = fitPlacement(pairs, 'scaled');
      const { base, left } = residual(pairs, placement);
      const { scaleX, scaleY } = placement;
      const [x, y] = [placement.x * shrunk, placement.y * shrunk];
      if (Math.abs(scaleX - 1) > LEAST_SCALE || Math.abs(scaleY - 1) > LEAST_SCALE) {
        return [{ name: 'cropped', detail: cropWords(placement), base, left }];
      }
      if (Math.hypot(x, y) < LEAST_PIXELS) return [];
      return [
        {
          name: 'shifted',
          detail: `the picture is moved by ${byWords(x, y, 'pixels', 'lines')}`,
          base,
          left,
        },
      ];
    },
  };
}

/** Chroma that sits beside its light. */
export function suspectChromaShift({ model }: PairForm): Suspicion {
  const pairs: Laid[] = [];
  return {
    see({ original, copy }) {
      if (model !== 'ycbcr') return;
      for (const index of [1, 2]) {
        const [had, is] = [original[index], copy[index]];
        if (had !== undefined && is !== undefined)
          pairs.push({ original: softened(middle(had)), copy: softened(middle(is)) });
      }
    },
    found(): Explained[] {
      if (pairs.length === 0) return [];
      const placement = fitPlacement(pairs, 'moved');
      const { x, y } = placement;
      if (Math.hypot(x, y) < LEAST_CHROMA) return [];
      const detail = `chroma is moved by ${byWords(x, y, 'chroma samples', 'chroma lines')} beside its luma`;
      return [{ name: 'chroma-shift', detail, ...residual(pairs, placement) }];
    },
  };
}

/** The copy shows the original at `scale x + move`: what of it is seen, of its width and height. */
function cropWords({ scaleX, scaleY }: Placement): string {
  const [across, down] = [100 * scaleX, 100 * scaleY].map((share) => `${share.toFixed(1)} %`);
  const isPart = scaleX < 1 && scaleY < 1;
  return `the copy shows ${across} of the width and ${down} of the height${isPart ? '' : ': scaled otherwise than its raster says'}`;
}

function byWords(x: number, y: number, samples: string, lines: string): string {
  const words = [
    Math.abs(x) < 0.1 ? [] : [`${Math.abs(x).toFixed(2)} ${samples} to the ${x < 0 ? 'right' : 'left'}`],
    Math.abs(y) < 0.1 ? [] : [`${Math.abs(y).toFixed(2)} ${lines} ${y < 0 ? 'down' : 'up'}`],
  ].flat();
  return words.join(' and ');
}

/** Means of blocks; what is over at the right and at the bottom is left out. */
function shrink(plane: Plane, by: number): Plane {
  if (by === 1) return { ...plane, codes: plane.codes.slice() };
  const [width, height] = [Math.floor(plane.width / by), Math.floor(plane.height / by)];
  const codes = new Float32Array(width * height);
  for (let y = 0; y < height * by; y++) {
    const row = Math.floor(y / by) * width;
    for (let x = 0; x < width * by; x++) {
      const to = row + Math.floor(x / by);
      codes[to] = (codes[to] ?? 0) + (plane.codes[y * plane.width + x] ?? 0) / (by * by);
    }
  }
  return { width, height, codes };
}

/**
 * Binomial means of three samples each way. A shift moves what is coarse too, and there lies little of what
 * coders and resamplers drop.
 */
function softened({ width, height, codes }: Plane): Plane {
  const [across, both] = [new Float32Array(codes.length), new Float32Array(codes.length)];
  for (let i = 0; i < codes.length; i++) {
    const x = i % width;
    const here = codes[i] ?? 0;
    across[i] =
      ((x > 0 ? (codes[i - 1] ?? 0) : here) + 2 * here + (x + 1 < width ? (codes[i + 1] ?? 0) : here)) / 4;
  }
  for (let i = 0; i < codes.length; i++) {
    const here = across[i] ?? 0;
    both[i] = ((across[i - width] ?? here) + 2 * here + (across[i + width] ?? here)) / 4;
  }
  return { width, height, codes: both };
}

function middle(plane: Plane): Plane {
  const [width, height] = [Math.min(WINDOW, plane.width), Math.min(WINDOW, plane.height)];
  const [left, top] = [Math.floor((plane.width - width) / 2), Math.floor((plane.height - height) / 2)];
  const codes = new Float32Array(width * height);
  for (let y = 0; y < height; y++) {
    const from = (top + y) * plane.width + left;
    codes.set(plane.codes.subarray(from, from + width), y * width);
  }
  return { width, height, codes };
}
