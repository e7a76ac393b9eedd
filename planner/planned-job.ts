import { clipMegapixels, MEASURED_MEGAPIXELS_PER_CORE_SECOND } from '../jobs/experience/modelled.js';
import type { ListedHash } from '../jobs/hash-list/hash-format.js';
import { spanParts, spanPath } from '../jobs/manifest/span-path.js';
import type { PlannedClip, PlannedJob } from '../jobs/plan/plan.js';
import { contentKey } from './content-key.js';
import { SECONDS_PER_FILE } from './estimate.js';
import type { ClipWish } from './plan-output.js';

/** Versions of the tools: others may give different figures, so they are part of every key. */
export interface JobTools {
  readonly goodgate: string;
  readonly ffmpeg: string;
}

/** Identity of a clip: name, size and time of last change. */
export function clipIdentity({ name, facts }: Pick<PlannedClip, 'name' | 'facts'>): unknown {
  return { name, bytes: facts.bytes, modified: facts.modified };
}

/** The clip of a job, with what hash lists say of it and of the sound that is laid into it. Pure. */
export function plannedClipOf(
  { name, file, parts, facts, colour, laying }: ClipWish,
  slate: PlannedClip['slate'],
  { root, listed }: { readonly root: string; readonly listed?: ReadonlyMap<string, ListedHash> | undefined },
): PlannedClip {
  const path = spanPath(
    below(root, file),
    parts.map((part) => below(root, part)),
  );
  const hash = listed?.get(path);
  const sounds = (laying.ok ? laying.laid : null) ?? [];
  const ofSound = sounds.flatMap(({ path: file }) => {
    const known = listed?.get(file);
    return known === undefined ? [] : [[file, known] as const];
  });
  return {
    ...{ path, name, facts, colour },
    ...(hash === undefined ? {} : { listed: hash }),
    ...(ofSound.length === 0 ? {} : { listedSound: Object.fromEntries(ofSound) }),
    ...(slate === undefined ? {} : { slate }),
  };
}

/** A path below the root of a manifest. */
export function below(root: string, name: string): string {
  return root.endsWith('/') ? root + name : `${root}/${name}`;
}

/**
 * The job of one clip with its keys and its estimated time. Pure.
 *
 * @param cores processors available to the job
 */
export function plannedJobOf(
  clip: PlannedClip,
  { outputs, judge }: Pick<PlannedJob, 'outputs' | 'judge'>,
  tools: JobTools,
  cores: number,
): PlannedJob {
  const { video } = clip.facts;
  const identity = clipIdentity(clip);
  // A manifest may correct them: its figures then are those of another reading of the same file.
  const read = {
    ...{ colour: clip.colour, scan: video?.scan ?? null, sampleAspect: video?.sampleAspect ?? null },
    ...(spanParts(clip.path) === null ? {} : { parts: spanParts(clip.path) }),
    ...(clip.facts.sequence === undefined ? {} : { rate: video?.frameRate ?? null }),
  };
  const measuring = SECONDS_PER_FILE + clipMegapixels(clip) / (MEASURED_MEGAPIXELS_PER_CORE_SECOND * cores);
  return {
    id: contentKey({
      clip: identity,
      ...read,
      outputs: outputs.map((output) => [output.key, output.require]),
      judge,
    }),
    clipKey: contentKey({ clip: identity, ...read, tools }),
    clip,
    outputs,
    judge,
    estimate: { seconds: measuring + outputs.reduce((sum, output) => sum + output.estimate.seconds, 0) },
  };
}
