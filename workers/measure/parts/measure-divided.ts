import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import { decodesOnOneThread } from '../../capabilities/decoder-threads.js';
import { divideFile, isUndivided, type Undivided } from './divide.js';
import type { PartsRunner } from './measure-here.js';
import { measureInParts, type PartsOptions } from './measure-in-parts.js';

/**
 * In parts shorter than this, the frames that are looked at twice (3 seconds for each seam) cost more than is
 * gained.
 */
const LEAST_FRAMES = 250;

/** How many parts of a file may be measured at once, and where. */
export interface Parallelism {
  /**
   * How many parts may be measured at once in this process. Each takes a processor and the memory of a
   * measurement.
   */
  readonly here: number;
  /** Others that are idle, and how they are set to work; the parts of this process are then among theirs. */
  readonly elsewhere?: { readonly places: number; readonly run: PartsRunner } | null;
}

/** False where only one part could be measured at a time. */
export function isParallel({ here, elsewhere }: Parallelism): boolean {
  return here + (elsewhere?.places ?? 0) > 1;
}

/**
 * Measures a file in parts at once where that is faster and the file is of a kind that can be cut; the reason
 * where not. It is faster where others are idle, and in this process where its decoder would leave processors
 * idle.
 *
 * Throws as `measureInParts` does.
 */
export async function measureDivided(
  parallelism: Parallelism,
  options: PartsOptions,
): Promise<MeasuredFigures | Undivided> {
  const { facts, colour, tools } = options;
  const elsewhere = parallelism.elsewhere ?? null;
  const divide = (here: number) =>
    divideFile(facts, colour, { here, elsewhere: elsewhere?.places ?? 0, leastFrames: LEAST_FRAMES });
  let division = divide(parallelism.here);
  if (isUndivided(division)) return division;
  const { codec } = division.video;
  if ((await decodesOnOneThread(codec, tools)) !== true) {
    if (elsewhere === null) {
      return { reason: `the decoder of ${codec} keeps several processors busy by itself` };
    }
    division = divide(1);
    if (isUndivided(division)) return division;
  }
  const measured = await measureInParts(division, options, elsewhere?.run);
  if (!isUndivided(measured)) options.onProgress?.(1);
  return measured;
}
