import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { PictureComparison } from '../../jobs/measurement/measured-comparison.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';
import type { Tools } from '../ffmpeg/tools.js';
import { isKnown, planeGeometry, sampleLayout } from '../measure/picture/plan/sample-layout.js';
import { bakeToFiles } from '../rendering/bake-files.js';
import { FetchError } from '../report/stills/fetch-frames.js';
import { answerOfThread } from './answer-of-thread.js';
import { notInStep } from './in-step.js';
import type { ComparedFrames, FramesToCompare } from './pairs/compare-frames.js';
import type { FrameForm } from './pairs/frame-planes.js';
import { type ChosenFrames, chooseFrames } from './sampling/choose-frames.js';
import {
  isComparable,
  type NotComparable,
  recipeAlike,
  referenceRecipe,
  type SeenPicture,
} from './sampling/reference-recipe.js';
import {
  type Reference,
  type Taken,
  type TakeOptions,
  takeFrames,
  throughChain,
  wholeThroughChain,
} from './sampling/take-samples.js';

/** One of the two files of a comparison. */
export interface ComparedFile {
  readonly path: string;
  readonly facts: ClipFacts;
  /** What its code values mean. */
  readonly colour: SeenPicture['colour'] | null;
  /** Frames that were decoded of it. */
  readonly frames: number;
  /** Those that were kept when it was measured. */
  readonly kept?: Taken | undefined;
}

export interface CompareOptions {
  /** How the copy was made, where that is known. */
  readonly recipe?: OutputRecipe | undefined;
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
}

/**
 * Compares the pictures of a copy and its original on frames spread over both. The original goes through the
 * steps that made the copy, so that like is compared with like.
 *
 * @returns why not, where they cannot be compared or the frames are not certain
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `measure-failed`, `missing-tool`, `interrupted`,
 * `bad-document` (a look): faults of the world are no figures.
 */
export async function comparePictures(
  original: ComparedFile,
  copy: ComparedFile,
  options: CompareOptions,
): Promise<PictureComparison | NotComparable> {
  const pair = comparablePair(original, copy, options.recipe);
  if (!isComparable(pair)) return pair;
  const scratch = makeTemporaryFolder('compare');
  const { tools, signal } = options;
  try {
    return await compareSamples(original, copy, pair, { scratch: scratch.path, tools, signal });
  } catch (error) {
    if (error instanceof FetchError)
      return { why: `the frames to compare are not certain: ${error.message}` };
    throw error;
  } finally {
    scratch.remove();
  }
}

/** Two pictures that can be compared, and how the original is made like the copy. */
export interface Pair {
  /** Rounded no coarser than the original. */
  readonly recipe: OutputRecipe;
  /** Rounded as the copy is. */
  readonly whole: OutputRecipe;
  readonly made: PictureComparison['made'];
  /** Whether frame n of the copy was made of frame n of the original. */
  readonly isInStep: boolean;
  readonly original: SeenPicture;
  readonly copy: SeenPicture;
}

/** Why two files cannot be compared, or how they are. Pure. */
export function comparablePair(
  original: ComparedFile,
  copy: ComparedFile,
  known: OutputRecipe | undefined,
): Pair | NotComparable {
  const [had, is] = [seen(original), seen(copy)];
  if (had === null || is === null) return { why: 'not both files have a picture' };
  // By the plan the original is put on the rate of the copy by the very filters that made it.
  const why = notInStep(had.video, is.video);
  if (why !== null && known === undefined) return { why };
  if (Math.min(original.frames, copy.frames) < 1) return { why: 'not both files have frames' };
  const recipe = known ?? recipeAlike(had, is);
  if (!isComparable(recipe)) return recipe;
  const reference = referenceRecipe(recipe, had.video);
  if (!isComparable(reference)) return reference;
  const layouts = [had.video.pixelFormat, is.video.pixelFormat].map(sampleLayout);
  for (const layout of layouts) if (!isKnown(layout)) return { why: layout.unknown };
  return {
    isInStep: why === null,
    recipe: reference,
    whole: asCopy(reference, is.video),
    made: known === undefined ? 'alike' : 'planned',
    original: had,
    copy: is,
  };
}

/** The reference in the very planes of the copy. */
function asCopy(reference: OutputRecipe, copy: SeenPicture['video']): OutputRecipe {
  const layout = sampleLayout(copy.pixelFormat);
  if (!isKnown(layout)) return reference;
  const pixelFormat = layout.readAs
    .replace(/^yuva/, 'yuv')
    .replace(/^yuvj/, 'yuv')
    .replace(/^gbrap/, 'gbrp');
  return { ...reference, video: { ...reference.video, pixelFormat, bitDepth: layout.depth } };
}

function seen({ facts: { video }, colour }: ComparedFile): SeenPicture | null {
  return video === null || colour === null ? null : { video, colour };
}

/** As `Promise.all`, but waits for the other where one fails. */
async function bothOf<A, B>(a: Promise<A>, b: Promise<B>): Promise<[A, B]> {
  await Promise.allSettled([a, b]);
  return Promise.all([a, b]);
}

/** An original that is out of step is decoded from its start, and no further than this. */
const MOST_DECODED = 15_000;

/** Frames of the original through the chain, in one raw file. */
async function referenceFrames(
  original: ComparedFile,
  { original: { video }, recipe, isInStep, baked }: Pair & Pick<Reference, 'baked'>,
  { frames, original: needed }: ChosenFrames,
  options: TakeOptions,
): Promise<string> {
  const reference = { video, recipe, baked };
  if (!isInStep || needed === null) return wholeThroughChain(original.path, reference, frames, options);
  const taken = await framesOf(original, video, needed, 'original', options);
  return throughChain(taken, needed, reference, options);
}

/** Frames that were kept when the file was measured, or else are decoded now. */
async function framesOf(
  { path, facts: { container }, kept }: ComparedFile,
  video: SeenPicture['video'],
  frames: readonly number[],
  name: string,
  options: TakeOptions,
): Promise<Taken> {
  const layout = sampleLayout(video.pixelFormat);
  const isKept =
    kept !== undefined &&
    isKnown(layout) &&
    kept.pixelFormat === layout.readAs &&
    frames.every((frame) => kept.frames.includes(frame));
  return isKept ? kept : takeFrames(path, { video, container }, frames, name, options);
}

async function compareSamples(
  original: ComparedFile,
  copy: ComparedFile,
  pair: Pair,
  options: TakeOptions,
): Promise<PictureComparison | NotComparable> {
  const { recipe } = pair;
  const reference = sampleLayout(recipe.video.pixelFormat);
  const own = sampleLayout(pair.copy.video.pixelFormat);
  if (!isKnown(reference)) return { why: reference.unknown };
  if (!isKnown(own)) return { why: own.unknown };
  const { width, height } = pair.copy.video;
  const form: FrameForm = { layout: own, width, height, range: pair.copy.colour.range };
  const sameShape =
    own.model === reference.model &&
    own.chromaShiftX === reference.chromaShiftX &&
    own.chromaShiftY === reference.chromaShiftY &&
    width === recipe.raster.width &&
    height === recipe.raster.height;
  if (!sameShape) return { why: 'the copy is not of the raster and sampling it was planned in' };
  const bytes = planeGeometry(own, width, height).frameBytes;
  const both = pair.isInStep ? Math.min(original.frames, copy.frames) : Math.min(copy.frames, MOST_DECODED);
  const chosen = chooseFrames(both, { ofCopy: copy.frames, bytes, deinterlace: recipe.deinterlace });
  const { frames } = chosen;
  const baked = recipe.rendering === null ? null : await bakeToFiles(recipe.rendering, options.scratch);
  // Both at once; whatever becomes of one, the other has ended before its files go.
  const [through, made] = await bothOf(
    referenceFrames(original, { ...pair, baked }, chosen, options),
    framesOf(copy, pair.copy.video, chosen.copy, 'copy', options),
  );
  const work: FramesToCompare = {
    original: {
      form: { layout: reference, width, height, range: recipe.colour.range },
      ...{ file: through, frames },
    },
    copy: { form, file: made.file, frames: made.frames },
    ...{ frames, depth: pair.original.video.bitDepth },
  };
  const asked = { where: copy.path, signal: options.signal };
  const compared = await answerOfThread<ComparedFrames>(
    import.meta.url,
    './pairs/compare-thread',
    work,
    asked,
  );
  return { original: original.path, made: pair.made, ...compared };
}
