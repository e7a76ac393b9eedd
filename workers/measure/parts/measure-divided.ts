import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import { decodesOnOneThread } from '../../capabilities/decoder-threads.js';
import { divideFile, isUndivided, type Undivided } from './divide.js';
import type { PartsRunner } from './measure-here.js';
import { measureInParts, type PartsOptions } from './measure-in-parts.js';

/**
 * In shorter parts, decoding the lead-in frames twice (3 seconds for each seam) costs more than is gained.
 */
const LEAST_FRAMES = 250;

/** How many parts of a file may be measured in parallel, and where. */
export interface Parallelism {
  /**
   * How many parts may be measured in parallel in this process. Each needs a processor and the memory of a
   * measurement.
   */
  readonly here: number;
  /** Other idle workers, and how parts are given to them; this process then takes parts like the others. */
  readonly elsewhere?: { readonly places: number; readonly run: PartsRunner } | null;
}

/** False where only one part can be measured at a time. */
export function isParallel({ here, elsewhere }: Parallelism): boolean {
  return here + (elsewhere?.places ?? 0) > 1;
}

/**
 * Measures a file in parallel parts where that is possible and faster; otherwise returns the reason. It is
 * faster where other workers are idle, and in this process where its decoder leaves processors idle.
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
