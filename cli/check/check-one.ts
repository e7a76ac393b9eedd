import { basename, dirname } from 'node:path';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { ColourOverride } from '../../jobs/manifest/manifest.js';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { PlannedJob } from '../../jobs/plan/plan.js';
import { resolveColour } from '../../planner/clip-colour.js';
import { plannedJobOf } from '../../planner/planned-job.js';
import type { ClipContext, Site } from '../../workers/clip-context.js';
import type { ComparedFile } from '../../workers/compare/compare-pictures.js';
import type { SeenFrames } from '../../workers/compare/order/seen-frames.js';
import type { CopyOf } from '../../workers/compare-copies.js';
import { whileUnchanged } from '../../workers/file/file-state.js';
import { type ClipDone, handleClip } from '../../workers/handle-clip.js';
import { measureOnSite } from '../../workers/measure-on-site.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { atRateOf } from './rate-of-sequence.js';
import { recipeOfCopy } from './recipe-of-copy.js';

/** Where and how files are measured and judged, one after the other without a queue. */
export interface CheckBatch {
  readonly out: string;
  readonly judge: PlannedJob['judge'];
  readonly site: Site;
  readonly context: ClipContext;
  /** What the user says of the colour of the files that are judged. */
  readonly colour: ColourOverride | undefined;
  readonly original: MeasuredOriginal | null;
}

/** What copies are compared with. */
export interface MeasuredOriginal {
  readonly measurement: Measurement;
  readonly file: ComparedFile;
  readonly frames: SeenFrames | null;
  /** What the user says of its colour. */
  readonly given: ColourOverride | undefined;
}

/** A file that was judged, with what is known of it. */
export interface OneChecked extends ClipDone {
  readonly job: PlannedJob;
  readonly facts: ClipFacts;
  /** How it was made and of what; undefined where it was not compared. */
  readonly copyOf: CopyOf | undefined;
}

/** What may be read for a file: itself; of a sequence its folder, since no file has the name it goes by. */
export function rootOf(path: string): string {
  return sequenceName(path) === null ? path : dirname(path);
}

/**
 * Measures one file, compares it with its original where there is one, and judges it.
 *
 * @throws GoodgateError as `handleClip`, and `unreadable-clip`, `file-changed`.
 */
export async function checkOne(
  file: { readonly path: string; readonly name: string },
  { out, judge, site, context, colour: given, original }: CheckBatch,
): Promise<OneChecked> {
  // From before the first look at it: what a header says and what is measured are then of one file.
  const { result } = await whileUnchanged(file.path, async () => {
    const facts = await probeClip(file.path, { tools: site.tools, signal: context.signal });
    const colour = facts.video === null ? null : resolveColour(facts.video, given).colour;
    const tools = { goodgate: site.version, ffmpeg: site.capabilities.ffmpegVersion };
    const clip = { ...file, facts, colour };
    const job = plannedJobOf(clip, { outputs: [], judge }, tools, site.capabilities.cores);
    const data = { batch: 'check', run: 'check', out, job };
    const copyOf = original === null ? undefined : await copyOfOriginal(clip, original);
    return { job, facts, copyOf, ...(await handleClip(data, site, context, { anew: true, copyOf })) };
  });
  return result;
}

async function copyOfOriginal(
  { path, facts }: { readonly path: string; readonly facts: ClipFacts },
  { measurement, file, frames, given }: MeasuredOriginal,
): Promise<CopyOf> {
  const recipe = await recipeOfCopy(path, file.path);
  const rate = recipe?.frameRate ?? facts.video?.frameRate;
  const at = recipe?.frameRate ?? file.facts.video?.frameRate ?? null;
  return {
    ...{ original: measurement, frames },
    facts: atRateOf({ facts }, at).facts,
    madeFrom: { file: atRateOf(file, rate), recipe, given },
  };
}

/**
 * What an original is, to compare copies with it. Its colour is what its tags say, or the user: where a copy
 * was rendered in its batch the plan has the colour. Errors: as of `measureFile`, and `unreadable-clip`.
 */
export async function measureOriginal(
  path: string,
  given: ColourOverride | undefined,
  { site, context }: Pick<CheckBatch, 'site' | 'context'>,
): Promise<MeasuredOriginal> {
  const { result } = await whileUnchanged(path, async () => {
    const facts = await probeClip(path, { tools: site.tools, signal: context.signal });
    const colour = facts.video === null ? null : resolveColour(facts.video, given).colour;
    let frames: SeenFrames | null = null;
    const onFrames = (seen: SeenFrames | null): void => {
      frames = seen;
    };
    const file = { path, name: basename(path), key: '0'.repeat(20), facts, colour, onFrames };
    const measurement = await measureOnSite(file, site, context, (fraction) =>
      context.progress({ stage: 'decode', fraction, detail: basename(path) }),
    );
    const compared = { path, facts, colour, frames: measurement.video?.frames ?? 0 };
    return { measurement, file: compared, frames, given };
  });
  return result;
}
