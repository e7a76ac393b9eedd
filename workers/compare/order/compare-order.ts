import { mayKeepParts } from '../../../jobs/codecs/codec-traits.js';
import { CONTAINERS } from '../../../jobs/containers/containers.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import { type FrameOrder, MOST_FRAME_PLACES } from '../../../jobs/measurement/measured-comparison.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { frameClock } from '../../measure/figures/frame-ranges.js';
import type { Signatures } from '../../measure/picture/signature/packed-signature.js';
import { notInStep } from '../in-step.js';
import type { NotComparable } from '../sampling/reference-recipe.js';
import { type FramesFound, findOtherFrames, isOtherPicture, type OrderOptions } from './find-other-frames.js';
import { foreignFrames, isForeignPicture, isWithoutPattern } from './foreign-picture.js';
import { matchTones } from './match-tones.js';
import { evenedFrames, type SeenFrames, turned } from './seen-frames.js';

/** A file whose frames were seen. */
export interface OrderedOriginal {
  readonly path: string;
  readonly facts: ClipFacts;
  readonly frames: SeenFrames | null;
}

export interface OrderedCopy {
  readonly measured: Measurement;
  readonly frames: SeenFrames | null;
  /** Of numbered pictures, which state none: the rate they are compared at. */
  readonly frameRate?: string | null | undefined;
}

/** Usual differences from here on may be those of tones, and are compared by rank. */
const OTHER_TONES = 0.01;

/**
 * Holds every frame of a copy against that of its original, by the signatures that both measurements left.
 *
 * @param recipe how the copy was made, where that is known
 */
export async function compareOrder(
  original: OrderedOriginal,
  copy: OrderedCopy,
  recipe: OutputRecipe | undefined,
): Promise<FrameOrder | NotComparable> {
  const { video } = copy.measured;
  if (original.facts.video === null || video === null) return { why: 'not both files have a picture' };
  if (original.frames === null) return { why: 'the frames of the original could not be measured' };
  if (copy.frames === null || copy.frames.signatures.frames !== video.frames) {
    return { why: 'not every frame of the copy could be measured' };
  }
  const turn = turnOf(original.facts.video, video, recipe);
  if (typeof turn !== 'number') return turn;
  const why = otherPart(recipe);
  if (why !== null) return { why };
  const had = turned(original.frames.signatures, turn);
  const is = copy.frames.signatures;
  const pace = paceOf(original.facts.video, video);
  const expected = expectedFrames(original, copy, recipe);
  const options = { ...expected, isInert: mayKeepParts(video.codec) };
  const told = 'why' in expected ? null : await inOwnTones(had, is, options, recipe, pace);
  if (told !== null && 'why' in told) return told;
  const found = told === null || isOtherPicture(told) ? await foreignFrames(had, is, pace) : told;
  if (found === null) {
    const why = 'the copy differs so much throughout that the order of its frames cannot be told';
    return 'why' in expected ? expected : { why };
  }
  const clock = frameClock(original.facts.container.startTimecode, video.frameRate);
  return {
    expected: 'why' in expected || expected.expected !== undefined ? null : had.frames,
    ...{ original: original.path, frames: found.frames, alike: found.alike, difference: found.usual },
    apart: found.apart
      .slice(0, MOST_FRAME_PLACES)
      .map(({ from, to, shows }) => ({ ...clock.range(from, to), shows })),
    doubtful: found.doubtful.slice(0, MOST_FRAME_PLACES).map(({ from, to }) => clock.range(from, to)),
  };
}

/** As they are; where rendering or a look changed the tones, by levels of the same rank. */
async function inOwnTones(
  original: Signatures,
  copy: Signatures,
  options: OrderOptions,
  recipe: OutputRecipe | undefined,
  pace: number,
): Promise<FramesFound | NotComparable> {
  const isRendered = recipe !== undefined && recipe.rendering !== null;
  const found = isRendered ? null : await findOtherFrames(original, copy, options);
  if (found !== null && (recipe !== undefined || found.usual < OTHER_TONES)) return found;
  // By rank the levels of a picture become those of any other that has few: whatever it shows would fit.
  if (isWithoutPattern(copy) && !isWithoutPattern(original)) {
    return { why: 'the copy shows no pattern where its original does: its frames cannot be told' };
  }
  const matched = await findOtherFrames(matchTones(original, copy), copy, options);
  if (found !== null && matched.usual >= found.usual) return found;
  const isLike = isOtherPicture(matched) || !(await isForeignPicture(original, copy, pace));
  return isLike ? matched : { why: 'the copy shows no pattern of its original: its frames cannot be told' };
}

/** Frames of the original for each of the copy. */
function paceOf(
  original: { readonly frameRate: string | null },
  copy: { readonly frameRate: string | null },
): number {
  const [had, is] = [original, copy].map(({ frameRate }) => parseRational(frameRate ?? ''));
  return had == null || is == null ? 1 : toNumber(had) / toNumber(is);
}

function turnOf(
  original: { readonly rotation: number },
  copy: { readonly rotation: number },
  recipe: OutputRecipe | undefined,
): 0 | 90 | 180 | 270 | NotComparable {
  const degrees = recipe?.rotation ?? (original.rotation - copy.rotation + 720) % 360;
  const known = ([0, 90, 180, 270] as const).find((each) => each === degrees);
  return known ?? { why: `the original is turned by ${original.rotation} degrees` };
}

/** Why the frames of a copy show another part of the picture, or more than that; null: they do not. */
function otherPart(recipe: OutputRecipe | undefined): string | null {
  if (recipe === undefined) return null;
  if (recipe.burnIn !== null) return 'text is burnt into the copy';
  const { width, height, scaledWidth, scaledHeight, fit } = recipe.raster;
  const isWhole = fit === 'exact' || fit === 'repeat' || (width === scaledWidth && height === scaledHeight);
  return isWhole ? null : 'the copy shows a part of the picture, or has bars beside it';
}

/** The rate that numbered pictures were made at, where they can state none; of all other copies null. */
function rateOfPictures(recipe: OutputRecipe | undefined): string | null {
  if (recipe === undefined) return null;
  return CONTAINERS.some(({ name, keepsRate }) => name === recipe.container && !keepsRate)
    ? recipe.frameRate
    : null;
}

/** Which frames of the original each frame of the copy may show. */
function expectedFrames(
  original: OrderedOriginal,
  { measured: { video }, frameRate }: OrderedCopy,
  recipe: OutputRecipe | undefined,
): Pick<OrderOptions, 'expected'> | NotComparable {
  const had = original.facts.video;
  if (had === null || video === null) return { why: 'not both files have a picture' };
  const stated = video.frameRate ?? frameRate ?? rateOfPictures(recipe);
  const why = notInStep(had, { frameRate: stated });
  if (why === null) return {};
  const rate = parseRational(stated ?? '');
  const stamps = original.frames?.stamps ?? null;
  if (recipe === undefined || stamps === null || rate === null) return { why };
  const isSteady = had.steady !== undefined && had.steady.rate === recipe.frameRate;
  const round = isSteady && had.steady !== undefined ? had.steady.round : 'near';
  const shown = evenedFrames(stamps, rate, round, video.frames);
  return {
    // A time half way between two frames may be rounded either way.
    expected: (frame) => {
      const at = shown[frame] ?? 0;
      return [at, at - 1, at + 1];
    },
  };
}
