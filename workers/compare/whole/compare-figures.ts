import type { Comparison } from '../../../jobs/comparison/comparison.js';
import type { FrameRange } from '../../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { makeTemporaryFolder } from '../../children/temporary-folder.js';
import type { Tools } from '../../ffmpeg/tools.js';
import { bakeToFiles } from '../../rendering/bake-files.js';
import { type ComparedFile, comparablePair } from '../compare-pictures.js';
import { isComparable } from '../sampling/reference-recipe.js';
import { compareWhole } from './compare-whole.js';

export interface FiguresOptions {
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Share done, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

export interface Figures {
  readonly figures: Comparison['whole'];
  readonly unmeasured: Comparison['unmeasured'];
}

/**
 * PSNR and SSIM of all frames of a copy, or why there are none. They judge nothing; frames that stand out in
 * them are to be looked at.
 *
 * @param recipe how the copy was made, where that is known
 * @throws GoodgateError as `compareWhole`.
 */
export async function compareFigures(
  original: ComparedFile,
  copy: ComparedFile,
  recipe: OutputRecipe | undefined,
  { tools, signal, onProgress }: FiguresOptions,
): Promise<Figures> {
  // Sound alone, or a picture that only one has, which is judged: nothing of a picture is left unmeasured.
  if (original.facts.video === null || copy.facts.video === null) return { figures: null, unmeasured: [] };
  const pair = comparablePair(original, copy, recipe);
  const without = (why: string): Figures => ({ figures: null, unmeasured: [{ what: 'PSNR and SSIM', why }] });
  if (!isComparable(pair)) return without(pair.why);
  if (!pair.isInStep) return without('frames were repeated or left out to change the rate');
  const scratch = makeTemporaryFolder('compare');
  try {
    const { rendering } = pair.whole;
    const baked = rendering === null ? null : await bakeToFiles(rendering, scratch.path);
    const reference = { video: pair.original.video, recipe: pair.whole, baked };
    const taking = { scratch: scratch.path, tools, signal, onProgress };
    const figures = await compareWhole(original, copy, reference, taking);
    return { figures, unmeasured: figures.unlike.map(unlikeFrames) };
  } finally {
    scratch.remove();
  }
}

function unlikeFrames({ from, to, fromTimecode }: FrameRange): Comparison['unmeasured'][number] {
  const frames = to === from + 1 ? `frame ${from}` : `frames ${from} to ${to - 1}`;
  return {
    what: fromTimecode === null ? frames : `${frames} (${fromTimecode})`,
    why: 'far less like the original than others: another picture, or grain that coding lost; look at them',
  };
}
