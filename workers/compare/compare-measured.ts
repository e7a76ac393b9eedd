import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { ColourOverride } from '../../jobs/manifest/manifest.js';
import type { PictureComparison } from '../../jobs/measurement/measured-comparison.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import type { RequirementSet } from '../../jobs/requirements/requirement.js';
import type { ClipContext, Site } from '../clip-context.js';
import { codesOfFloats } from '../rendering/floats.js';
import { type ComparedFile, comparePictures } from './compare-pictures.js';
import { mayHoldLogCodes, readAlike } from './read-alike.js';
import { isComparable, type NotComparable } from './sampling/reference-recipe.js';

/** What a copy was made from, and how, where that is known. */
export interface MadeFrom {
  readonly file: ComparedFile;
  readonly recipe: OutputRecipe | undefined;
  /** What the user says of the colour of the original. */
  readonly given?: ColourOverride | undefined;
}

/** A copy whose comparison is missing in its measurement. */
export interface MeasuredCopy {
  readonly path: string;
  readonly facts: ClipFacts;
  readonly measured: Measurement;
  readonly colour: ComparedFile['colour'];
  /** Frames that were kept of it when it was measured. */
  readonly kept?: ComparedFile['kept'];
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
  { path, facts, measured, colour, kept }: MeasuredCopy,
  { file, recipe, given }: MadeFrom,
  { tools }: Pick<Site, 'tools'>,
  { signal, log }: Pick<ClipContext, 'signal' | 'log'>,
): Promise<Measurement> {
  const started = performance.now();
  const copy = { path, facts, colour, kept, frames: measured.video?.frames ?? 0 };
  // Without the plan's word a tag that only one of them declares holds for both.
  const [had, is] = recipe === undefined ? alike(file, copy, given) : [file, copy];
  const compared = await comparePictures(had, is, { recipe, tools, signal });
  const mayBeLog = recipe === undefined && mayHoldLogCodes(file, copy, given) && isMistaken(compared);
  const asLog = mayBeLog ? inRangeOf(had, is) : null;
  const other = asLog === null ? null : await comparePictures(had, asLog, { tools, signal });
  const found = other !== null && isBetter(other, compared) ? { why: MAYBE_LOG } : compared;
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

const MAYBE_LOG =
  'its RGB holds codes of narrow range and says no range: right of camera log, wrong of anything else; compare takes the colour of the original by --colour';

type Compared = PictureComparison | NotComparable;

function isMistaken(found: Compared): boolean {
  return isComparable(found) && found.mistake !== null;
}

/** Whether one reading of the codes leaves no mistake, and another does. */
function isBetter(one: Compared, other: Compared): boolean {
  if (!isComparable(one) || !isComparable(other)) return false;
  return one.mistake === null && one.bitsKept > other.bitsKept;
}

function inRangeOf(original: ComparedFile, copy: ComparedFile): ComparedFile | null {
  if (original.colour === null || copy.colour === null) return null;
  return { ...copy, colour: { ...copy.colour, range: original.colour.range } };
}

/** Two files whose steps are not known, as they are compared: what one alone declares holds for both. */
export function alike(
  file: ComparedFile,
  copy: ComparedFile,
  given: ColourOverride | undefined,
): readonly [ComparedFile, ComparedFile] {
  const [had, is] = readAlike(file, copy, given);
  return [
    { ...file, colour: had.colour },
    { ...copy, colour: is.colour },
  ];
}
