import { access, constants } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { Plan } from '../../jobs/plan/plan.js';
import type { Software } from '../../jobs/plan/submission.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { readPlan, readSubmission } from '../batch/assemble.js';
import type { Site } from '../clip-context.js';
import { codeDigest } from '../code-digest.js';
import { requireUnderRoots } from '../roots.js';

/** What makes and measures on a machine. */
export function softwareOf({ version, capabilities }: Pick<Site, 'version' | 'capabilities'>): Software {
  return { goodgate: version, code: codeDigest().slice(0, 12), ffmpeg: capabilities.ffmpegVersion };
}

/** A worker as far as it matters to which batches it can do. */
export interface AbleWorker {
  readonly site: Site;
  readonly software: Software;
  /** Codecs its ffmpeg knows and cannot decode. */
  readonly undecodable: ReadonlySet<string>;
}

/** Why a worker leaves a batch to others, in a sentence; null: it can reach and do all of it. */
export async function whyNotBatch(
  entry: Pick<BatchEntry, 'id' | 'out' | 'software'>,
  { site, software, undecodable }: AbleWorker,
): Promise<string | null> {
  const other = whyOtherSoftware(entry.software, software);
  if (other !== null) return other;
  const { out } = entry;
  const here = await whyNotHere({ out, batch: entry.id }, site.roots);
  if (here !== null) return here;
  const plan = await readPlan(out);
  if (plan === null) return `${out}: its plan.json cannot be read`;
  try {
    await requireUnderRoots(plan.root, site.roots);
  } catch (error) {
    return messageOf(error);
  }
  return (await unseen(plan)) ?? whyUnable(plan, site, undecodable);
}

/** A job of one version made by another would be recorded as what it is not. Pure. */
export function whyOtherSoftware(wanted: Software, here: Software): string | null {
  if (wanted.goodgate !== here.goodgate || wanted.code !== here.code) {
    const told = ({ goodgate, code }: Software): string => `${goodgate} (code ${code})`;
    return `it was submitted by goodgate ${told(wanted)}, and this is ${told(here)}: use the same on both`;
  }
  if (wanted.ffmpeg === here.ffmpeg) return null;
  return `it was planned for ffmpeg ${wanted.ffmpeg}, and here is ${here.ffmpeg}: use the same on both`;
}

/**
 * Why the folder of a batch cannot be worked in from here: outside the roots, not mounted, not to be written.
 * An empty folder may stand where a volume is not mounted, so the batch's own mark in it is the proof.
 */
export async function whyNotHere(
  { out, batch }: { readonly out: string; readonly batch: string },
  roots: readonly string[],
): Promise<string | null> {
  try {
    await requireUnderRoots(out, roots);
  } catch (error) {
    return messageOf(error);
  }
  const mark = await readSubmission(out);
  if (mark === null)
    return `${out} does not hold the batch here: its volume is not mounted, or somewhere else`;
  if (mark.batch !== batch) return `${out} holds another batch by now`;
  return access(out, constants.R_OK | constants.W_OK).then(
    () => null,
    (error: unknown) => `${out} cannot be written from here: ${messageOf(error)}`,
  );
}

/**
 * Why no clip of the batch in a folder is to be seen; null where one is, which proves that the volume of the
 * originals is mounted.
 */
export async function whyUnseen(out: string): Promise<string | null> {
  const plan = await readPlan(out);
  return plan === null ? `${out}: its plan.json cannot be read` : unseen(plan);
}

async function unseen({ root, jobs }: Plan): Promise<string | null> {
  for (const { clip } of jobs) {
    const isThere = await access(clip.path).then(
      () => true,
      () => false,
    );
    if (isThere) return null;
  }
  return `no clip of it is to be seen under ${root}: its volume is not mounted here`;
}

/** Pure. */
export function whyUnable(
  { jobs }: Pick<Plan, 'jobs'>,
  { capabilities }: Pick<Site, 'capabilities'>,
  undecodable: ReadonlySet<string>,
): string | null {
  for (const { clip, outputs } of jobs) {
    const { video, audio } = clip.facts;
    const codecs = [...(video === null ? [] : [video]), ...audio].map(({ codec }) => codec);
    const unread = codecs.find((codec) => undecodable.has(codec));
    if (unread !== undefined) return `this ffmpeg has no decoder for ${unread}`;
    for (const { recipe } of outputs) {
      const { encoder } = recipe.video;
      if (capabilities.encoders[encoder] === undefined) return `this ffmpeg has no encoder ${encoder}`;
      if (recipe.burnIn !== null && capabilities.fontFile === null)
        return 'there is no font to burn in clip name and timecode';
    }
  }
  return null;
}

function messageOf(error: unknown): string {
  if (error instanceof GoodgateError) return `${error.code}: ${error.message}`;
  return error instanceof Error ? error.message : String(error);
}
