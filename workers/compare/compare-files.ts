import type { Comparison } from '../../jobs/comparison/comparison.js';
import type { FrameRange } from '../../jobs/measurement/measurement.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';
import { bakeToFiles } from '../rendering/bake-files.js';
import {
  type ComparedFile,
  type CompareOptions,
  comparablePair,
  comparePictures,
  type Pair,
} from './compare-pictures.js';
import { isComparable, type NotComparable } from './sampling/reference-recipe.js';
import type { Reference } from './sampling/take-samples.js';
import { compareAllSound } from './sound/compare-all-sound.js';
import { compareSound } from './sound/compare-sound.js';
import { compareWhole } from './whole/compare-whole.js';

export interface CompareFilesOptions extends CompareOptions {
  /** Share done, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/** Share of the time that both take to be decoded whole. */
const WHOLE_SHARE = 0.7;

/**
 * Compares a copy with its original: all frames by PSNR and SSIM, frames spread over both for precision and
 * mistakes, and the sound.
 *
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `measure-failed`, `missing-tool`, `interrupted`.
 */
export async function compareFiles(
  original: Omit<ComparedFile, 'frames'>,
  copy: Omit<ComparedFile, 'frames'>,
  options: CompareFilesOptions,
): Promise<Comparison> {
  const unmeasured: Comparison['unmeasured'][number][] = [];
  const scratch = makeTemporaryFolder('compare');
  const taking = { scratch: scratch.path, tools: options.tools, signal: options.signal };
  try {
    const [had, is] = [original, copy].map((file) => ({
      ...file,
      frames: file.facts.video?.frames ?? 1,
    })) as [ComparedFile, ComparedFile];
    const pair = comparablePair(had, is, options.recipe);
    // Sound alone, or a picture that only one has, which is said: nothing of a picture is left unmeasured.
    const both = had.facts.video !== null && is.facts.video !== null;
    if (!isComparable(pair) && both) unmeasured.push({ what: 'picture', why: pair.why });
    const isUneven = isComparable(pair) && !pair.isInStep;
    if (isUneven)
      unmeasured.push({ what: 'whole', why: 'frames were repeated or left out to change the rate' });
    const counted =
      isUneven || had.facts.video === null || is.facts.video === null
        ? null
        : await compareWhole(had, is, await referenceOf(pair, scratch.path), {
            ...taking,
            onProgress: (fraction) => options.onProgress?.(fraction * WHOLE_SHARE),
          });
    const frames = counted?.frames ?? { original: had.frames, copy: is.frames };
    const picture = isComparable(pair)
      ? await comparePictures({ ...had, frames: frames.original }, { ...is, frames: frames.copy }, options)
      : null;
    if (picture !== null && !isComparable(picture) && both)
      unmeasured.push({ what: 'picture', why: picture.why });
    unmeasured.push(...(counted?.whole?.doubtful ?? []).map(doubtfulFrames));
    options.onProgress?.(0.9);
    const sound: Comparison['sound'][number][] = [];
    const isLaid = options.recipe?.audio?.laid !== undefined;
    if (isLaid) {
      const laid = await compareAllSound(had, is, options.recipe?.audio, options);
      sound.push(...laid.found);
      unmeasured.push(
        ...laid.unknown.map(({ stream, why }) => ({ what: `sound stream ${stream + 1}`, why })),
      );
    }
    const streams = isLaid ? 0 : Math.max(had.facts.audio.length, is.facts.audio.length);
    for (let stream = 0; stream < streams; stream++) {
      const { found, unknown } = await compareSound(had, is, { original: stream, copy: stream }, taking);
      if (found !== null) sound.push(found);
      for (const why of unknown) unmeasured.push({ what: `sound stream ${stream + 1}`, why });
    }
    options.onProgress?.(1);
    return {
      schema: 'goodgate/comparison@1',
      original: described(had, counted?.frames.original ?? null),
      copy: described(is, counted?.frames.copy ?? null),
      picture: picture !== null && isComparable(picture) ? picture : null,
      whole: counted?.whole ?? null,
      ...{ sound, unmeasured },
    };
  } finally {
    scratch.remove();
  }
}

/** The original as the copy is, for all frames; null where they cannot be compared. */
async function referenceOf(pair: Pair | NotComparable, scratch: string): Promise<Reference | null> {
  if (!isComparable(pair)) return null;
  const { rendering } = pair.whole;
  const baked = rendering === null ? null : await bakeToFiles(rendering, scratch);
  return { video: pair.original.video, recipe: pair.whole, baked };
}

function doubtfulFrames({ from, to, fromTimecode }: FrameRange) {
  const frames = to === from + 1 ? `frame ${from}` : `frames ${from} to ${to - 1}`;
  return {
    what: fromTimecode === null ? frames : `${frames} (${fromTimecode})`,
    why: 'far less like the original than others: another picture, or grain that coding lost; look at them',
  };
}

function described({ path, facts }: ComparedFile, frames: number | null): Comparison['original'] {
  const { startTimecode } = facts.container;
  return { path, bytes: facts.bytes, picture: facts.video !== null, frames, startTimecode };
}
