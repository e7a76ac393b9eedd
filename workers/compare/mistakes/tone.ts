import { lumaLevels } from '../../../signal/quantise.js';
import type { Plane } from '../pairs/frame-planes.js';
import { BLOCK, blockMean } from './block-means.js';
import {
  type Explained,
  lightPlanes,
  type PairForm,
  type Suspicion,
  sampledLines,
  sampledRows,
} from './mistake.js';

/** Levels of the original are told apart this finely. */
const BINS = 256;
/** Sums of what has its original in one bin; `d` is copy minus original, full scale is 1. */
interface Bin {
  n: number;
  o: number;
  oo: number;
  d: number;
  dd: number;
  od: number;
}

/**
 * Below these a shift of the means is what coders do, of the scale: 1.2 codes of 10 bits, a gain of 0.4 %, a
 * gamma of 0.7 %. Of right copies by 27 encoders and rates of eight pictures the one furthest off that is off
 * alike everywhere is CineForm of 4:2:2, one code too dark.
 */
const LEAST_OFFSET = 0.0012;
const LEAST_GAIN = 0.004;
const LEAST_GAMMA = 0.007;
/** Rounding to fewer bits without dither makes half a code of them. */
const LEAST_OF_A_CODE = 0.55;
/** Levels are each off by chance in a picture of few colours: a shift is so many times what that explains. */
const TIMES_CHANCE = 4;
/** The picture has to have some contrast: the RMS of its levels around their mean. */
const LEAST_CONTRAST = 0.02;
/** A change of levels keeps the picture. */
const LEAST_CORRELATION = 0.95;

/** Levels changed alike everywhere: a shift or a gain, a gamma, a limit above which all is one level. */
export function suspectTone(form: PairForm): Suspicion {
  const samples = noBins();
  const blocks = { light: noBins(), cb: noBins(), cr: noBins() };
  const light = lightPlanes(form);
  const scale = 2 ** form.depth;
  return {
    see({ original, copy }) {
      for (const [index, had] of original.entries()) {
        const is = copy[index];
        if (is === undefined) continue;
        const isLight = light.includes(index);
        if (isLight) addSamples(samples, had, is, scale);
        addBlocks(isLight ? blocks.light : index === 1 ? blocks.cb : blocks.cr, had, is, scale);
      }
    },
    found: () => [
      ...levelShifts(blocks, form),
      ...gammaShift(blocks.light, form),
      ...clipped(samples, total(samples)),
    ],
  };
}

function addSamples(bins: readonly Bin[], had: Plane, is: Plane, scale: number): void {
  for (const y of sampledLines(had.width, had.height)) {
    for (let i = y * had.width; i < (y + 1) * had.width; i++)
      addLevel(bins, (had.codes[i] ?? 0) / scale, (is.codes[i] ?? 0) / scale);
  }
}

function addBlocks(bins: readonly Bin[], had: Plane, is: Plane, scale: number): void {
  for (const y of sampledRows(had.width, had.height, BLOCK)) {
    for (let x = 0; x + BLOCK <= had.width; x += BLOCK)
      addLevel(bins, blockMean(had, x, y) / scale, blockMean(is, x, y) / scale);
  }
}

function noBins(): Bin[] {
  return Array.from({ length: BINS }, () => ({ n: 0, o: 0, oo: 0, d: 0, dd: 0, od: 0 }));
}

function addLevel(bins: readonly Bin[], original: number, copy: number): void {
  const d = copy - original;
  const bin = bins[Math.max(0, Math.min(BINS - 1, Math.floor(original * BINS)))];
  if (bin === undefined) return;
  bin.n++;
  bin.o += original;
  bin.oo += original * original;
  bin.d += d;
  bin.dd += d * d;
  bin.od += original * d;
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
  if (all.n === 0) return false;
  const { vo, vd, cod } = spread(all);
  if (vo < LEAST_CONTRAST ** 2) return false;
  const copy = vo + vd + 2 * cod;
  return copy > 0 && (vo + cod) / Math.sqrt(vo * copy) >= LEAST_CORRELATION;
}

/** Of light; of Cb and Cr where light is right: a look changes all of them, and is another mistake. */
function levelShifts(
  { light, cb, cr }: Readonly<Record<'light' | 'cb' | 'cr', readonly Bin[]>>,
  form: PairForm,
): Explained[] {
  const ofLight = levelShift(light, form);
  const ofColour = [cb, cr].map((bins) => levelShift(bins, form));
  const words = ofColour.flatMap(({ words }, index) =>
    words.map((each) => `${index === 0 ? 'Cb' : 'Cr'} ${each}`),
  );
  const found: Explained[] = [];
  const name = 'level-shift';
  if (ofLight.words.length > 0) found.push({ name, ...ofLight, detail: ofLight.words.join(', ') });
  if (words.length > 0 && ofLight.words.length === 0) {
    const [all, chroma] = [[ofLight, ...ofColour], ofColour];
    const sum = (of: 'base' | 'left', planes: typeof all): number =>
      planes.reduce((whole, each) => whole + each[of], 0);
    found.push({
      name,
      detail: words.join(', '),
      base: sum('base', all),
      left: ofLight.base + sum('left', chroma),
    });
  }
  return found;
}

/** What a shift and a gain leave of a plane, and what they are in words: none where they are no mistake. */
function levelShift(
  bins: readonly Bin[],
  { copyDepth }: PairForm,
): { readonly words: readonly string[]; readonly base: number; readonly left: number } {
  const all = total(bins);
  if (!keepsPicture(all)) return { words: [], base: all.dd, left: all.dd };
  const { vo, vd, cod } = spread(all);
  const slope = cod / vo;
  const mean = all.o / all.n;
  const offset = all.d / all.n;
  const chance = chanceOf(bins, all, (level) => offset + slope * (level - mean));
  const isMoved = Math.abs(offset) >= Math.max(leastOffset(copyDepth), TIMES_CHANCE * chance);
  const isGained = Math.abs(slope) >= Math.max(LEAST_GAIN, (TIMES_CHANCE * chance) / Math.sqrt(vo));
  const words = [
    isMoved ? [`levels ${levelText(offset)} ${offset > 0 ? 'higher' : 'lower'} on average`] : [],
    isGained ? [`contrast times ${(1 + slope).toFixed(3)} around ${percent(mean)}`] : [],
  ].flat();
  const left = words.length === 0 ? all.dd : Math.max(0, vd - cod ** 2 / vo) * all.n;
  return { words, base: all.dd, left };
}

function leastOffset(copyDepth: number): number {
  return Math.max(LEAST_OFFSET, LEAST_OF_A_CODE / 2 ** copyDepth);
}

/** Standard error of a mean over levels, each of which is off by itself: by what is left of each. */
function chanceOf(bins: readonly Bin[], all: Bin, expected: (level: number) => number): number {
  let [off, weights] = [0, 0];
  for (const { n, o, d } of bins) {
    if (n === 0) continue;
    const share = n / all.n;
    off += share * (d / n - expected(o / n)) ** 2;
    weights += share * share;
  }
  return Math.sqrt(off * weights);
}

/** `signal ^ gamma` between black and white of the range. */
function gammaShift(bins: readonly Bin[], form: PairForm): Explained[] {
  const all = total(bins);
  if (!keepsPicture(all)) return [];
  const { depth, range, copyDepth } = form;
  const levels = lumaLevels(depth, range);
  const [black, white] = [levels.black / 2 ** depth, levels.white / 2 ** depth];
  const changeBy = (gamma: number, level: number): number => {
    const signal = (level - black) / (white - black);
    return signal <= 0 ? 0 : (signal ** gamma - signal) * (white - black);
  };
  const leftBy = (gamma: number): number =>
    bins.reduce((sum, { n, o, d, dd }) => {
      if (n === 0) return sum;
      const change = changeBy(gamma, o / n);
      return sum + dd - 2 * change * d + n * change * change;
    }, 0);
  const base = all.dd;
  let [best, left] = [1, base];
  // Twice the steps of 2 %, then within one of them.
  for (let step = -50; step <= 50; step++) {
    const tried = leftBy(1.02 ** step);
    if (tried < left) [best, left] = [1.02 ** step, tried];
  }
  const coarse = best;
  for (let step = -20; step <= 20; step++) {
    const gamma = coarse * 1.001 ** step;
    const tried = leftBy(gamma);
    if (tried < left) [best, left] = [gamma, tried];
  }
  const chance = chanceOf(bins, all, (level) => changeBy(best, level));
  const moved = Math.sqrt(
    bins.reduce((sum, { n, o }) => sum + n * changeBy(best, n && o / n) ** 2, 0) / all.n,
  );
  const isSeen = moved >= Math.max(leastOffset(copyDepth), TIMES_CHANCE * chance);
  if (Math.abs(best - 1) < LEAST_GAMMA || !isSeen) return [];
  const detail = `gamma of ${best.toFixed(Math.abs(best - 1) < 0.05 ? 3 : 2)}: mid tones are too ${best > 1 ? 'dark' : 'bright'}`;
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
  if (all.n === 0) return [];
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

/** A level of the scale; small ones more finely. */
function levelText(share: number): string {
  const each = Math.abs(100 * share);
  return `${each.toFixed(each < 0.95 ? 2 : 1)} % of the scale`;
}

function percent(share: number): string {
  return `${Math.abs(100 * share).toFixed(1)} %`;
}
