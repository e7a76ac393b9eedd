import { lumaLevels } from '../../../signal/quantise.js';
import { type Explained, lightPlanes, type PairForm, type Suspicion, sampledLines } from './mistake.js';

/** Levels of the original are told apart this finely. */
const BINS = 256;
/** Sums of the samples whose original lies in one bin; `d` is copy minus original, full scale is 1. */
interface Bin {
  n: number;
  o: number;
  oo: number;
  d: number;
  dd: number;
  od: number;
}

/**
 * Below these a shift is what coders do to flat pictures: an offset of one and a half 8-bit codes, a gain of
 * 1 %, a gamma of 2 % (chosen, no source).
 */
const LEAST_OFFSET = 0.006;
const LEAST_GAIN = 0.01;
const LEAST_GAMMA = 0.02;
/** The picture has to have some contrast: the RMS of its levels around their mean. */
const LEAST_CONTRAST = 0.02;
/** A change of levels keeps the picture: detail that a coder dropped does not. */
const LEAST_CORRELATION = 0.95;

/** Levels changed alike everywhere: a shift or a gain, a gamma, a limit above which all is one level. */
export function suspectTone(form: PairForm): Suspicion {
  const bins = Array.from({ length: BINS }, (): Bin => ({ n: 0, o: 0, oo: 0, d: 0, dd: 0, od: 0 }));
  const scale = 2 ** form.depth;
  return {
    see({ original, copy }) {
      for (const index of lightPlanes(form)) {
        const [had, is] = [original[index], copy[index]];
        if (had === undefined || is === undefined) continue;
        for (const y of sampledLines(had.width, had.height)) {
          for (let i = y * had.width; i < (y + 1) * had.width; i++) {
            const o = (had.codes[i] ?? 0) / scale;
            const d = (is.codes[i] ?? 0) / scale - o;
            const bin = bins[Math.min(BINS - 1, Math.floor(o * BINS))];
            if (bin === undefined) continue;
            bin.n++;
            bin.o += o;
            bin.oo += o * o;
            bin.d += d;
            bin.dd += d * d;
            bin.od += o * d;
          }
        }
      }
    },
    found() {
      const all = total(bins);
      if (all.n === 0) return [];
      const shifts = keepsPicture(all) ? [...levelShift(all), ...gammaShift(bins, all, form)] : [];
      return [...shifts, ...clipped(bins, all)];
    },
  };
}

function total(bins: readonly Bin[]): Bin {
  const sum: Bin = { n: 0, o: 0, oo: 0, d: 0, dd: 0, od: 0 };
  for (const bin of bins) for (const key of ['n', 'o', 'oo', 'd', 'dd', 'od'] as const) sum[key] += bin[key];
  return sum;
}

/** Variances of original and of the difference, and their covariance. */
function spread({ n, o, oo, d, dd, od }: Bin): { vo: number; vd: number; cod: number } {
  return { vo: oo / n - (o / n) ** 2, vd: dd / n - (d / n) ** 2, cod: od / n - (o / n) * (d / n) };
}

function keepsPicture(all: Bin): boolean {
  const { vo, vd, cod } = spread(all);
  if (vo < LEAST_CONTRAST ** 2) return false;
  const copy = vo + vd + 2 * cod;
  return copy > 0 && (vo + cod) / Math.sqrt(vo * copy) >= LEAST_CORRELATION;
}

function levelShift(all: Bin): Explained[] {
  const { vo, vd, cod } = spread(all);
  const gain = 1 + cod / vo;
  const mean = all.o / all.n;
  const offset = all.d / all.n;
  if (Math.abs(offset) < LEAST_OFFSET && Math.abs(gain - 1) < LEAST_GAIN) return [];
  const left = Math.max(0, vd - cod ** 2 / vo) * all.n;
  const words = [
    Math.abs(offset) < LEAST_OFFSET
      ? []
      : [`levels ${percent(offset)} of the scale ${offset > 0 ? 'higher' : 'lower'} on average`],
    Math.abs(gain - 1) < LEAST_GAIN ? [] : [`contrast times ${gain.toFixed(3)} around ${percent(mean)}`],
  ].flat();
  return [{ name: 'level-shift', detail: words.join(', '), base: all.dd, left }];
}

/** `signal ^ gamma` between black and white of the range. */
function gammaShift(bins: readonly Bin[], { dd: base }: Bin, { depth, range }: PairForm): Explained[] {
  const levels = lumaLevels(depth, range);
  const [black, white] = [levels.black / 2 ** depth, levels.white / 2 ** depth];
  const leftBy = (gamma: number): number =>
    bins.reduce((sum, { n, o, d, dd }) => {
      if (n === 0) return sum;
      const signal = (o / n - black) / (white - black);
      const change = signal <= 0 ? 0 : (signal ** gamma - signal) * (white - black);
      return sum + dd - 2 * change * d + n * change * change;
    }, 0);
  let [best, left] = [1, base];
  // Twice the steps of 2 %, then within one of them.
  for (let step = -50; step <= 50; step++) {
    const tried = leftBy(1.02 ** step);
    if (tried < left) [best, left] = [1.02 ** step, tried];
  }
  const coarse = best;
  for (let step = -10; step <= 10; step++) {
    const gamma = coarse * 1.002 ** step;
    const tried = leftBy(gamma);
    if (tried < left) [best, left] = [gamma, tried];
  }
  if (Math.abs(best - 1) < LEAST_GAMMA) return [];
  const detail = `gamma of ${best.toFixed(2)}: mid tones are too ${best > 1 ? 'dark' : 'bright'}`;
  return [{ name: 'gamma-shift', detail, base, left: Math.max(0, left) }];
}

/** Share of the samples that have to lie above a limit, and how far on average, of the scale. */
const LEAST_CLIPPED = 0.001;
const LEAST_LOST = 0.01;
/** A coder that drops grain makes levels even too, but on both sides of their mean. */
const MOST_CLIPPED = 0.5;
/** What is clipped is one level: RMS of the copy around it, of the scale. */
const MOST_UNEVEN = 0.01;
/** Below its limit a clipped picture is as it was: what lies above the limit lay above it before, about. */
const MOST_APART = 0.02;

function clipped(bins: readonly Bin[], all: Bin): Explained[] {
  // A copy of one colour, black for one, is not its original without highlights.
  if (unevenness(all) <= all.n * MOST_UNEVEN ** 2) return [];
  let best: { edge: number; limit: number; left: number; above: Bin } | null = null;
  let below = 0;
  for (let edge = 1; edge < BINS; edge++) {
    below += bins[edge - 1]?.dd ?? 0;
    const above = total(bins.slice(edge));
    if (above.n === 0 || above.n > all.n * MOST_CLIPPED) continue;
    // The level that fits what lies above best.
    const limit = (above.o + above.d) / above.n;
    const left = below + Math.max(0, unevenness(above));
    if (best === null || left < best.left) best = { edge: edge / BINS, limit, left, above };
  }
  if (best === null) return [];
  const { edge, limit, left, above } = best;
  if (Math.abs(limit - edge) > MOST_APART) return [];
  const isOneLevel = unevenness(above) <= above.n * MOST_UNEVEN ** 2;
  const isMuch = above.n >= all.n * LEAST_CLIPPED && -above.d / above.n >= LEAST_LOST;
  if (!isOneLevel || !isMuch) return [];
  const detail = `everything above ${percent(limit)} of the scale is one level: ${percent(above.n / all.n)} of the picture`;
  return [{ name: 'clipped-highlight', detail, base: all.dd, left }];
}

/** Sum of squares of the copy's levels around their mean. */
function unevenness({ n, o, oo, d, dd, od }: Bin): number {
  return oo + 2 * od + dd - (o + d) ** 2 / n;
}

function percent(share: number): string {
  return `${Math.abs(100 * share).toFixed(1)} %`;
}
