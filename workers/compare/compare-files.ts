import type { Comparison } from '../../jobs/comparison/comparison.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';
import { bakeToFiles } from '../rendering/bake-files.js';
import {
  type ComparedFile,
  type CompareOptions,
  comparablePair,
  comparePictures,
} from './compare-pictures.js';
import { isComparable } from './sampling/reference-recipe.js';
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
    if (!isComparable(pair)) unmeasured.push({ what: 'picture', why: pair.why });
    const counted =
      had.facts.video === null || is.facts.video === null
        ? null
        : await compareWhole(
            had,
            is,
            isComparable(pair)
              ? {
                  video: pair.original.video,
                  recipe: pair.whole,
                  baked:
                    pair.whole.rendering === null
                      ? null
                      : await bakeToFiles(pair.whole.rendering, scratch.path),
                }
              : null,
            { ...taking, onProgress: (fraction) => options.onProgress?.(fraction * WHOLE_SHARE) },
          );
    const frames = counted?.frames ?? null;
    const picture =
      frames === null || !isComparable(pair)
        ? null
        : await comparePictures({ ...had, frames: frames.original }, { ...is, frames: frames.copy }, options);
    if (picture !== null && !isComparable(picture)) unmeasured.push({ what: 'picture', why: picture.why });
    options.onProgress?.(0.9);
    const sound: Comparison['sound'][number][] = [];
    const streams = Math.max(had.facts.audio.length, is.facts.audio.length);
    for (let stream = 0; stream < streams; stream++) {
      const heard = await compareSound(had, is, stream, taking);
      if (isComparable(heard)) sound.push(heard);
      else unmeasured.push({ what: `sound stream ${stream}`, why: heard.why });
    }
    options.onProgress?.(1);
    return {
      schema: 'goodgate/comparison@1',
      original: described(had, frames?.original ?? null),
      copy: described(is, frames?.copy ?? null),
      picture: picture !== null && isComparable(picture) ? picture : null,
      whole: counted?.whole ?? null,
      ...{ sound, unmeasured },
    };
  } finally {
    scratch.remove();
  }
}

function described({ path, facts }: ComparedFile, frames: number | null): Comparison['original'] {
  return { path, bytes: facts.bytes, frames, startTimecode: facts.container.startTimecode };
}
