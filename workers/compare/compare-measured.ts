import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import type { RequirementSet } from '../../jobs/requirements/requirement.js';
import type { ClipContext, Site } from '../clip-context.js';
import { codesOfFloats } from '../rendering/floats.js';
import { type ComparedFile, comparePictures } from './compare-pictures.js';
import { readAlike } from './read-alike.js';
import { isComparable } from './sampling/reference-recipe.js';

/** What a copy was made from, and how, where that is known. */
export interface MadeFrom {
  readonly file: ComparedFile;
  readonly recipe: OutputRecipe | undefined;
}

/** A copy whose comparison is missing in its measurement. */
export interface MeasuredCopy {
  readonly path: string;
  readonly facts: ClipFacts;
  readonly measured: Measurement;
  readonly colour: ComparedFile['colour'];
}

/** Whether a comparison is required that the measurement of a copy does not hold. */
export function isComparisonMissing(
  { comparison, video }: Measurement,
  requires: readonly RequirementSet[],
): boolean {
  // Floats that were made are not compared: the codes they are read as are not those they were made of.
  const isComparable = video !== null && codesOfFloats(video.pixelFormat) === null;
  return comparison === null && isComparable && requires.some(({ precision }) => precision !== undefined);
}

/**
 * The measurement of a copy with its comparison, or with the reason why there is none.
 *
 * @throws GoodgateError as of `comparePictures`.
 */
export async function compareMeasured(
  { path, facts, measured, colour }: MeasuredCopy,
  { file, recipe }: MadeFrom,
  { tools }: Pick<Site, 'tools'>,
  { signal, log }: Pick<ClipContext, 'signal' | 'log'>,
): Promise<Measurement> {
  const started = performance.now();
  const copy = { path, facts, colour, frames: measured.video?.frames ?? 0 };
  // Without the plan's word a tag that only one of them declares holds for both.
  const [had, is] = recipe === undefined ? alike(file, copy) : [file, copy];
  const found = await comparePictures(had, is, { recipe, tools, signal });
  const seconds = (performance.now() - started) / 1000;
  const others = measured.unmeasured.filter(({ what }) => what !== 'comparison');
  if (isComparable(found)) {
    log.info(
      { path, seconds, bitsKept: found.bitsKept, mistake: found.mistake },
      'compared with its original',
    );
    return { ...measured, comparison: found, unmeasured: others };
  }
  log.info({ path, seconds, why: found.why }, 'not compared with its original');
  return { ...measured, comparison: null, unmeasured: [...others, { what: 'comparison', why: found.why }] };
}

function alike(file: ComparedFile, copy: ComparedFile): readonly [ComparedFile, ComparedFile] {
  const [had, is] = readAlike(file, copy, undefined);
  return [
    { ...file, colour: had.colour },
    { ...copy, colour: is.colour },
  ];
}
