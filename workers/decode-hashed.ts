import { mkdir } from 'node:fs/promises';
import { dirname } from 'node:path';
import type { PlannedJob } from '../jobs/plan/plan.js';
import type { ClipJobData } from '../jobs/queue/messages.js';
import { progressPercent } from '../jobs/words/quantities.js';
import { heldAgainst } from './batch/bytes-before.js';
import { below, wholeOf } from './batch/folder.js';
import { writeFailure } from './batch/write-whole.js';
import type { ClipContext, Site } from './clip-context.js';
import type { Work } from './clip-work.js';
import type { SeenFrames } from './compare/order/seen-frames.js';
import { samplesToBe } from './compare/sampling/kept-samples.js';
import { isOrderMissing } from './compare-copies.js';
import { hashBeside } from './hash-list/hash-beside.js';
import { DECODE_SHARE, type Decoded, decodeOnce, removeTemporary } from './make/decode-once.js';
import type { KeepFrames } from './measure/reading/kept-frames.js';
import { measureOnSite } from './measure-on-site.js';

/**
 * Decodes the clip: into the outputs that are missing and into its own measurement, or, with none missing,
 * into that alone.
 */
async function decode(data: ClipJobData, work: Work, site: Site, context: ClipContext): Promise<Decoded> {
  const { clip } = data.job;
  if (work.missing.length > 0) {
    for (const output of work.missing) {
      const folder = dirname(wholeOf(below(data.out, output.path)));
      await mkdir(folder, { recursive: true }).catch((error: unknown) => {
        throw writeFailure(folder, error);
      });
    }
    // The frames of the clip are seen by the decode that makes a copy, also where it was measured before.
    const toCompare = work.missing.some(({ require }) => isOrderMissing(undefined, [require]));
    const measure = work.original !== null && !toCompare ? null : { keep: keepOriginal(data.job, work) };
    return decodeOnce(data, work.missing, measure, site, context);
  }
  let frames: SeenFrames | null = null;
  const onFrames = (seen: SeenFrames | null): void => {
    frames = seen;
  };
  const original = await measureOnSite(
    { ...clip, key: data.job.clipKey, onFrames },
    site,
    context,
    (fraction) => {
      context.reading?.(fraction);
      context.progress({ stage: 'decode', fraction, detail: clip.name });
    },
  );
  return { temporary: new Map(), original, frames };
}

/** What the decode keeps of the clip, to hold those copies against it that are to be made. */
function keepOriginal({ clip, clipKey }: PlannedJob, { missing, kept }: Work): KeepFrames | undefined {
  const { video } = clip.facts;
  if (video === null) return undefined;
  const wanted = missing.flatMap((output) => samplesToBe(output, video, video.frames ?? 0)?.original ?? []);
  return kept.keep(
    clipKey,
    [...new Set(wanted)].sort((a, b) => a - b),
    video,
  );
}

/**
 * Decodes the clip, and hashes its bytes beside that. What the hash list of its card, or an earlier run,
 * knows to be otherwise is refused, and leaves nothing.
 */
export async function decodeHashed(
  data: ClipJobData,
  work: Work,
  site: Site,
  context: ClipContext,
): Promise<Decoded> {
  const { clip } = data.job;
  let decoded: Decoded | null = null;
  const beside = await hashBeside(clip, context.signal, (share) => {
    // Until then the progress is that of the decoder.
    if (decoded === null) return;
    const detail = `hashing ${clip.name}, ${progressPercent(share)}`;
    context.progress({ stage: 'decode', fraction: DECODE_SHARE, detail });
  });
  try {
    decoded = await decode(data, work, site, { ...context, reading: beside.reached });
    const hash = await beside.finish();
    work.bytesAsBefore = heldAgainst(work.before, { ...clip.facts, path: clip.path, hash });
    if (clip.listed !== undefined)
      context.log.info({ clip: clip.name, ...clip.listed }, 'as in the hash list');
    const { original } = decoded;
    return { ...decoded, original: original && { ...original, file: { ...original.file, hash } } };
  } catch (error) {
    if (decoded === null) throw await beside.explain(error);
    await removeTemporary(decoded.temporary.values());
    throw error;
  } finally {
    await beside.stop();
  }
}
