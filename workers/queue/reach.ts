import { access, constants } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { Software } from '../../jobs/plan/submission.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { readSubmission } from '../batch/assemble.js';
import type { Site } from '../clip-context.js';
import { codeDigest } from '../code-digest.js';
import { requireUnderRoots } from '../roots.js';
import type { KnownPlans, PlanNeeds } from './plan-needs.js';

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
  readonly plans: KnownPlans;
}

/** Why a worker leaves a batch to others, in a sentence; null: it can reach and do all of it. */
export async function whyNotBatch(
  entry: Pick<BatchEntry, 'id' | 'out' | 'software'>,
  { site, software, undecodable, plans }: AbleWorker,
): Promise<string | null> {
  const other = whyOtherSoftware(entry.software, software);
  if (other !== null) return other;
  const { out } = entry;
  const here = await whyNotHere({ out, batch: entry.id }, site.roots);
  if (here !== null) return here;
  const needs = await plans.needs(out);
  if (needs === null) return `${out}: its plan.json cannot be read`;
  try {
    for (const root of needs.roots) await requireUnderRoots(root, site.roots);
  } catch (error) {
    return messageOf(error);
  }
  return (await whyUnseen(out, plans)) ?? whyUnable(needs, site, undecodable);
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
export async function whyUnseen(out: string, plans: KnownPlans): Promise<string | null> {
  const isSeen = await plans.isAnySeen(out);
  if (isSeen === null) return `${out}: its plan.json cannot be read`;
  if (isSeen) return null;
  const roots = (await plans.needs(out))?.roots ?? [];
  return `no clip of it is to be seen under ${roots.join(' and ')}: its volume is not mounted here`;
}

/** Pure. */
export function whyUnable(
  { codecs, encoders, font }: Pick<PlanNeeds, 'codecs' | 'encoders' | 'font'>,
  { capabilities }: Pick<Site, 'capabilities'>,
  undecodable: ReadonlySet<string>,
): string | null {
  const unread = codecs.find((codec) => undecodable.has(codec));
  if (unread !== undefined) return `this ffmpeg has no decoder for ${unread}`;
  const unmade = encoders.find((encoder) => capabilities.encoders[encoder] === undefined);
  if (unmade !== undefined) return `this ffmpeg has no encoder ${unmade}`;
  return font && capabilities.fontFile === null ? 'there is no font to burn in clip name and timecode' : null;
}

function messageOf(error: unknown): string {
  if (error instanceof GoodgateError) return `${error.code}: ${error.message}`;
  return error instanceof Error ? error.message : String(error);
}
