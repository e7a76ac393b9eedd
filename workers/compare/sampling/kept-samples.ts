import { rmSync } from 'node:fs';
import { join } from 'node:path';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { PlannedOutput } from '../../../jobs/plan/plan.js';
import { makeTemporaryFolder, type TemporaryFolder } from '../../children/temporary-folder.js';
import { isKnown, planeGeometry, sampleLayout } from '../../measure/picture/plan/sample-layout.js';
import type { KeepFrames } from '../../measure/reading/kept-frames.js';
import { notInStep } from '../in-step.js';
import { type ChosenFrames, chooseFrames, MOST_BYTES } from './choose-frames.js';
import { isComparable, referenceRecipe } from './reference-recipe.js';
import type { Taken } from './take-samples.js';

/**
 * The frames of a copy and of its original that will be compared once it is made, as far as that is known
 * before; null where its target asks for no comparison, or frame n is not made of frame n. Pure.
 *
 * @param frames of the original
 */
export function samplesToBe(
  { recipe, require }: Pick<PlannedOutput, 'recipe' | 'require'>,
  original: VideoFacts,
  frames: number,
): ChosenFrames | null {
  const { raster, video, deinterlace } = recipe;
  const layout = sampleLayout(video.pixelFormat);
  if (require.precision === undefined || frames < 1) return null;
  if (!isKnown(layout) || layout.fromFloats || notInStep(original, recipe) !== null) return null;
  if (!isComparable(referenceRecipe(recipe, original))) return null;
  const bytes = planeGeometry(layout, raster.width, raster.height).frameBytes;
  return chooseFrames(frames, { ofCopy: frames, bytes, deinterlace });
}

interface Kept {
  readonly file: string;
  /** Room that is set aside for it. */
  readonly bytes: number;
  /** Null until all of them lie there. */
  taken: Taken | null;
}

/**
 * Frames that the decodes of a clip and its copies keep while they measure, so that none is decoded once more
 * to be compared. They are a spare copy: what is not here is taken from the file.
 */
export class KeptSamples {
  #folder: TemporaryFolder | null = null;
  readonly #kept = new Map<string, Kept>();

  /**
   * What a measurement is to keep; undefined where nothing is wanted, or where all that is kept would take
   * more room than a comparison may.
   *
   * @param key of the file that is measured
   * @param frames in rising order, each once
   * @throws errors of the file system, where no folder can be made.
   */
  keep(
    key: string,
    frames: readonly number[],
    { pixelFormat, width, height }: Pick<VideoFacts, 'pixelFormat' | 'width' | 'height'>,
  ): KeepFrames | undefined {
    this.drop(key);
    const layout = sampleLayout(pixelFormat);
    if (frames.length === 0 || !isKnown(layout)) return undefined;
    const bytes = planeGeometry(layout, width, height).frameBytes * frames.length;
    const before = [...this.#kept.values()].reduce((sum, kept) => sum + kept.bytes, 0);
    if (before + bytes > MOST_BYTES) return undefined;
    this.#folder ??= makeTemporaryFolder('compare');
    const file = join(this.#folder.path, `${key}.raw`);
    const kept: Kept = { file, bytes, taken: null };
    this.#kept.set(key, kept);
    const onEnd: KeepFrames['onEnd'] = (pixelFormat) => {
      kept.taken = pixelFormat === null ? null : { frames, file, pixelFormat };
    };
    return { frames, file, onEnd };
  }

  /** The frames that were kept of a file. */
  of(key: string): Taken | undefined {
    return this.#kept.get(key)?.taken ?? undefined;
  }

  /** They are no longer needed. */
  drop(key: string): void {
    const kept = this.#kept.get(key);
    if (kept !== undefined) rmSync(kept.file, { force: true });
    this.#kept.delete(key);
  }

  /** Removes all. Safe to call twice. */
  remove(): void {
    this.#kept.clear();
    this.#folder?.remove();
    this.#folder = null;
  }
}
