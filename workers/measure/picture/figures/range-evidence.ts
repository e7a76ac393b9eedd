import { lumaLevels, maxCode, videoDataLevels } from '../../../../signal/quantise.js';
import { countBetween, percentileBin } from './percentile.js';

/** Fraction of the samples ignored at each end of the tones: noise and ringing. */
const TAIL = 0.001;
/**
 * Steps between black and white that a continuous tone uses; graphics of a few colours use a few of these.
 */
const STEPS = 64;
const STEPS_OF_TONE = 48;
/**
 * How near the ends of the tones of a narrow picture are to nominal black and white, as a fraction of the
 * range.
 */
const NEAR = 0.02;
/** Least fraction of the samples at nominal black or white where the tones end there, ... */
const EDGE = 0.005;
/** ... and least ratio of these to the samples beyond. */
const CLIFF = 10;
/** Fraction of the samples beyond nominal black, and beyond white, that is more than overshoot. */
const BEYOND = 0.02;

/** The counts of one scale of codes, from code 0, and its depth. */
interface Tone {
  readonly counts: Float64Array;
  readonly samples: number;
  readonly depth: number;
}

/**
 * Which of the two ranges the codes of a picture look like, whatever the file declares. A range is told only
 * by a tone that is continuous: graphics of pure colours have a few codes, which both ranges have. Then
 *
 * - full: the tone goes on, beyond black and beyond white, and a thousandth of the samples lie at the codes
 *   SDI keeps for itself at either end, where overshoots of a narrow picture hardly get; or 2 % of the
 *   samples and more lie beyond each, fading out as shadows and highlights do. A narrow ramp or test picture
 *   that uses its head- and footroom evenly up to the last code allowed is neither;
 * - narrow: the tone ends within 2 % of nominal black and white, and at one of them with an edge: 0.5 % of
 *   the samples at it, a tenth of that at most beyond. A full-range picture of low contrast may end there by
 *   chance, but fades;
 * - null in every other case.
 *
 * Common practice, no source.
 *
 * @param counts samples by code, from 0 to the last code of the depth; of R'G'B' all three channels together
 */
export function rangeOfTone(counts: Float64Array, depth: number): 'narrow' | 'full' | null {
  const samples = countBetween(counts, 0, maxCode(depth) + 1);
  const tone: Tone = { counts, samples, depth };
  const { black, white } = lumaLevels(depth, 'narrow');
  if (samples === 0 || stepsUsed(tone, black, white) < STEPS_OF_TONE) return null;
  if (isFull(tone)) return 'full';
  return isNarrow(tone) ? 'narrow' : null;
}

/**
 * How many of the steps from one code to another have samples, at least one in 100,000 of all.
 */
function stepsUsed({ counts, samples }: Tone, from: number, to: number, steps = STEPS): number {
  let used = 0;
  for (let step = 0; step < steps; step++) {
    const first = from + Math.floor(((to - from) * step) / steps);
    const next = from + Math.floor(((to - from) * (step + 1)) / steps);
    if (countBetween(counts, first, Math.max(next, first + 1)) > samples / 100_000) used++;
  }
  return used;
}

function isFull(tone: Tone): boolean {
  const { counts, samples, depth } = tone;
  const { black, white } = lumaLevels(depth, 'narrow');
  const { min, max } = videoDataLevels(depth);
  const last = maxCode(depth);
  const below = countBetween(counts, 0, black);
  const above = countBetween(counts, white + 1, last + 1);
  // Eight steps of head- and footroom each: a few clipped samples at the ends are no tone.
  const goesOn = stepsUsed(tone, 0, black, 8) >= 7 && stepsUsed(tone, white + 1, last + 1, 8) >= 7;
  if (!goesOn) return false;
  const reserved = [countBetween(counts, 0, min), countBetween(counts, max + 1, last + 1)];
  if (reserved.every((count) => count > TAIL * samples)) return true;
  const quarter = Math.floor(black / 4);
  const fades = (near: number, far: number): boolean => far <= near / 2;
  return (
    Math.min(below, above) >= BEYOND * samples &&
    fades(countBetween(counts, black - quarter, black), countBetween(counts, 0, quarter)) &&
    fades(
      countBetween(counts, white + 1, white + 1 + quarter),
      countBetween(counts, last + 1 - quarter, last + 1),
    )
  );
}

function isNarrow({ counts, samples, depth }: Tone): boolean {
  const { black, white } = lumaLevels(depth, 'narrow');
  const span = white - black;
  const near = NEAR * span;
  const dark = percentileBin(counts, TAIL);
  const bright = percentileBin(counts, 1 - TAIL);
  if (Math.abs(dark - black) > near || Math.abs(bright - white) > near) return false;
  const half = Math.round(near / 2);
  const isEdge = (at: number, beyond: number): boolean => at >= EDGE * samples && beyond * CLIFF <= at;
  return (
    isEdge(countBetween(counts, black - half, black + half + 1), countBetween(counts, 0, black - half)) ||
    isEdge(
      countBetween(counts, white - half, white + half + 1),
      countBetween(counts, white + half + 1, counts.length),
    )
  );
}
