import type { ClipFacts } from '../jobs/manifest/facts.js';
import type { Measurement } from '../jobs/measurement/measurement.js';
import type { LaidSound } from '../jobs/plan/laid-sound.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';
import type { ClipJobData } from '../jobs/queue/messages.js';
import type { RequirementSet } from '../jobs/requirements/requirement.js';
import { type Kept, keepDocument } from './batch/documents.js';
import { below, measurementFile, originalMeasurementFile } from './batch/folder.js';
import type { ClipContext, Site } from './clip-context.js';
import type { Work } from './clip-work.js';
import {
  compareMeasured,
  isComparisonMissing,
  type MadeFrom,
  type MeasuredCopy,
} from './compare/compare-measured.js';
import { compareOrder } from './compare/order/compare-order.js';
import type { SeenFrames } from './compare/order/seen-frames.js';
import { isComparable } from './compare/sampling/reference-recipe.js';
import { compareAllSound } from './compare/sound/compare-all-sound.js';
import { fileState, isSameState } from './file/file-state.js';
import { type FileToMeasure, measureOnSite } from './measure-on-site.js';
import { probeClip } from './probe/probe-clip.js';

/** What a copy is compared with, and how it was made of it where that is known. */
export interface CopyOf {
  readonly original: Measurement;
  readonly madeFrom: MadeFrom;
  readonly frames: SeenFrames | null;
  /** Of the copy, as it is compared: a sequence without a rate at that of its original. */
  readonly facts: ClipFacts;
}

/** A copy of the job, or the clip as one. */
interface Copy extends Omit<MeasuredCopy, 'facts'> {
  /** Its document. */
  readonly file: string;
  readonly toMeasure: FileToMeasure;
  readonly requires: readonly RequirementSet[];
}

/** What it was made from, with the frames of that. */
interface Source {
  readonly madeFrom: MadeFrom;
  readonly frames: () => Promise<SeenFrames | null>;
}

/** Whether the frames of a copy are to be held against those of its original, and were not yet. */
export function isOrderMissing(
  measured: Measurement | undefined,
  requires: readonly RequirementSet[],
): boolean {
  if (measured !== undefined && (measured.frameOrder !== null || measured.video === null)) return false;
  return requires.some((require) => require['same-frames'] !== undefined);
}

/**
 * Compares each copy whose target asks for it with its original, unless an earlier run did: the outputs of
 * the job with its clip, and the clip with what it was made from.
 */
export async function compareCopies(
  data: ClipJobData,
  work: Work,
  site: Site,
  context: ClipContext,
  copyOf: CopyOf | undefined,
): Promise<void> {
  const { job, out } = data;
  const { clip } = job;
  const { original } = work;
  if (original === null) return;
  const compare = (copy: Copy, source: Source) => compareCopy({ out, work, site, context }, copy, source);
  const clipToMeasure = { ...clip, key: job.clipKey };
  if (copyOf !== undefined) {
    const copy = {
      ...{ path: clip.path, measured: original.document, colour: clip.colour },
      toMeasure: { ...clipToMeasure, facts: copyOf.facts },
      ...{ file: originalMeasurementFile(clip.name), requires: job.judge.map(({ require }) => require) },
    };
    const source = { madeFrom: copyOf.madeFrom, frames: async () => copyOf.frames };
    work.original = (await compare(copy, source)) ?? original;
  }
  for (const { key, path, require, recipe } of job.outputs) {
    const kept = work.measured.get(key);
    if (kept === undefined) continue;
    const frames = original.document.video?.frames ?? 0;
    const file = {
      ...{ path: clip.path, facts: clip.facts, colour: recipe.sourceColour, frames },
      kept: work.kept.of(job.clipKey),
    };
    const output = below(out, path);
    const copy = {
      ...{ path: output, measured: kept.document, colour: recipe.colour, requires: [require] },
      kept: work.kept.of(key),
      ...{ file: measurementFile(path), toMeasure: { path: output, name: path, key, colour: recipe.colour } },
    };
    const source = {
      madeFrom: { file, recipe },
      frames: () => framesOf(clipToMeasure, work, site, context),
    };
    work.measured.set(key, (await compare(copy, source)) ?? kept);
    work.kept.drop(key);
  }
}

interface Comparing {
  readonly out: string;
  readonly work: Work;
  readonly site: Site;
  readonly context: ClipContext;
}

/** The measurement of a copy with all that its targets ask for; null where nothing was missing. */
async function compareCopy(
  { out, work, site, context }: Comparing,
  copy: Copy,
  { madeFrom, frames }: Source,
): Promise<Kept<Measurement> | null> {
  let { measured } = copy;
  let probed: Promise<ClipFacts> | undefined;
  const facts = (): Promise<ClipFacts> => (probed ??= factsOf(copy, work, site, context));
  if (isComparisonMissing(measured, copy.requires)) {
    measured = await compareMeasured({ ...copy, measured, facts: await facts() }, madeFrom, site, context);
  }
  if (isOrderMissing(measured, copy.requires)) {
    const own = await framesOf(copy.toMeasure, work, site, context);
    const { path, facts } = madeFrom.file;
    const original = { path, facts, frames: await frames() };
    const { frameRate } = copy.toMeasure.facts?.video ?? {};
    const order = await compareOrder(original, { measured, frames: own, frameRate }, madeFrom.recipe);
    const others = measured.unmeasured.filter(({ what }) => what !== 'frameOrder');
    measured = isComparable(order)
      ? { ...measured, frameOrder: order, unmeasured: others }
      : { ...measured, unmeasured: [...others, { what: 'frameOrder', why: order.why }] };
    context.log.info({ path: copy.path, order }, 'frames held against those of the original');
  }
  if (isSoundMissing(measured, copy.requires, madeFrom.recipe)) {
    measured = await withSound({ ...copy, measured, facts: await facts() }, madeFrom, site, context);
  }
  if (measured === copy.measured) return null;
  await work.lock.requireHeld();
  return keepDocument(out, copy.file, measured);
}

/** Facts of a copy: those of the probe that this very work measured it with, where it did. */
async function factsOf(
  { path, toMeasure }: Copy,
  { frames }: Work,
  { tools, probed }: Site,
  { signal }: ClipContext,
): Promise<ClipFacts> {
  const known = toMeasure.facts ?? (frames.has(toMeasure.key) ? probed?.of(toMeasure.key) : undefined);
  return known ?? probeClip(path, { tools, signal });
}

function isSoundMissing(
  { audio, soundComparison }: Measurement,
  requires: readonly RequirementSet[],
  recipe: OutputRecipe | undefined,
): boolean {
  if (soundComparison !== null || audio.length === 0) return false;
  // Nothing that was measured of the clip tells whether the right sound was laid, and at its place.
  if (recipe?.audio?.laid !== undefined) return true;
  return requires.some((require) => require['same-sound'] !== undefined);
}

/** The measurement with its sound held against the original's. */
async function withSound(
  { path, measured, facts }: MeasuredCopy,
  { file, recipe }: MadeFrom,
  { tools }: Pick<Site, 'tools'>,
  { signal, log }: Pick<ClipContext, 'signal' | 'log'>,
): Promise<Measurement> {
  const changed = await changedSince(recipe?.audio?.laid ?? []);
  const { found, unknown } =
    changed === null
      ? await compareAllSound(file, { path, facts }, recipe?.audio, { tools, signal })
      : {
          found: [],
          unknown: [{ stream: 0, why: `${changed}, which was laid, is gone or has changed since` }],
        };
  log.info({ path, found, unknown }, 'sound held against that of the original');
  const others = measured.unmeasured.filter(({ what }) => !what.startsWith('soundComparison'));
  const notes = unknown.map(({ stream, why }) => ({
    what: 'soundComparison',
    why: `stream ${stream + 1}: ${why}`,
  }));
  return { ...measured, soundComparison: [...found], unmeasured: [...others, ...notes] };
}

/** The first of them that is not as it was planned; null: all are. */
async function changedSince(laid: readonly LaidSound[]): Promise<string | null> {
  for (const file of laid) {
    const now = await fileState(file.path).catch(() => null);
    if (now === null || !isSameState(now, file)) return file.name;
  }
  return null;
}

/** Frames of a file as this work saw them; measured again where an earlier run saw them. */
async function framesOf(
  file: FileToMeasure,
  work: Work,
  site: Site,
  context: ClipContext,
): Promise<SeenFrames | null> {
  const seen = work.frames.get(file.key);
  if (seen !== undefined) return seen;
  context.log.info({ clip: file.name }, 'measured again: its frames are to be compared');
  let found: SeenFrames | null = null;
  await measureOnSite(
    {
      ...file,
      onFrames: (frames) => {
        found = frames;
      },
    },
    site,
    context,
    () => undefined,
  );
  work.frames.set(file.key, found);
  return found;
}
