import type { Measurement } from '../jobs/measurement/measurement.js';
import type { BatchClip } from '../jobs/plan/batch.js';
import type { PlannedJob, PlannedOutput } from '../jobs/plan/plan.js';
import type { ClipJobData } from '../jobs/queue/messages.js';
import type { Verdict } from '../jobs/verdict/verdict.js';
import { type Kept, keepDocument } from './batch/documents.js';
import {
  below,
  LOCKS_FOLDER,
  originalMeasurementFile,
  originalVerdictFile,
  verdictFile,
} from './batch/folder.js';
import { type FileToJudge, type JudgedItem, judgeFile, type NotMeasured } from './batch/judge-file.js';
import { type Lock, takeLocks } from './batch/lock.js';
import type { ClipContext, Site } from './clip-context.js';
import { findDone, type Work } from './clip-work.js';
import type { SeenFrames } from './compare/order/seen-frames.js';
import { samplesToBe } from './compare/sampling/kept-samples.js';
import { type CopyOf, compareCopies } from './compare-copies.js';
import { decodeHashed } from './decode-hashed.js';
import { fileState, requireUnchanged } from './file/file-state.js';
import { DECODE_SHARE, removeTemporary } from './make/decode-once.js';
import { finishOutput } from './make/finish-output.js';
import type { KeepFrames } from './measure/reading/kept-frames.js';
import { requireReadable } from './roots.js';
import { StageTimes } from './stage-times.js';

/**
 * What became of one clip of a batch, and how its files stand to their targets: the documents lie in the
 * folder.
 */
export interface ClipDone {
  readonly clip: BatchClip;
  readonly verdicts: readonly Verdict[];
  /** How long its stages took here. */
  readonly times: StageTimes;
  /** Keys of the outputs that were made, not found there. */
  readonly made: readonly string[];
}

export interface HandleOptions {
  /** Measures the clip itself anew, whatever an earlier run left: for who asks how the file is now. */
  readonly anew?: boolean;
  /** The clip is itself a copy: what it was made of, which it is compared with. */
  readonly copyOf?: CopyOf | undefined;
}

/** Makes and measures all that is missing of a clip; afterwards everything has its measurement. */
async function makeMissing(data: ClipJobData, work: Work, site: Site, context: ClipContext): Promise<void> {
  const { job, out } = data;
  const { times } = work;
  const { temporary, original, frames } = await times.during('decode', () =>
    decodeHashed(data, work, site, context),
  );
  try {
    if (original !== null) {
      await work.lock.requireHeld();
      work.original = await keepDocument(out, originalMeasurementFile(job.clip.name), original);
      work.frames.set(job.clipKey, frames);
    }
    for (const [index, output] of work.missing.entries()) {
      const temporaryPath = temporary.get(output.key) ?? '';
      const onFrames = (seen: SeenFrames | null) => work.frames.set(output.key, seen);
      const keep = keepCopy(job, output, work);
      const made = { out, output, temporaryPath, lock: work.lock, onFrames, keep };
      const tell = (fraction: number): void =>
        context.progress({
          stage: 'measure',
          fraction: DECODE_SHARE + ((1 - DECODE_SHARE) * (index + fraction)) / work.missing.length,
          detail: output.path,
        });
      const finish = () => finishOutput(made, site, context, tell);
      const measurement = await times.during('measure', finish, output.key);
      work.measured.set(output.key, measurement);
    }
  } finally {
    // Those that have their name are gone from here already.
    await removeTemporary(temporary.values());
  }
}

/** What the measurement of a copy keeps of it, to hold it against the clip. */
function keepCopy(
  { clip }: PlannedJob,
  output: PlannedOutput,
  { original, kept }: Work,
): KeepFrames | undefined {
  const { video } = clip.facts;
  if (video === null) return undefined;
  const frames = original?.document.video?.frames ?? 0;
  const { pixelFormat } = output.recipe.video;
  const { width, height } = output.recipe.raster;
  const wanted = samplesToBe(output, video, frames)?.copy ?? [];
  return kept.keep(output.key, wanted, { pixelFormat, width, height });
}

/** The files of a job, each as it is to be judged. */
function filesToJudge(
  { job, out }: ClipJobData,
  { measured }: Work,
  original: Kept<Measurement>,
  copyOf: CopyOf | undefined,
): FileToJudge[] {
  const comparedWith = copyOf && { original: copyOf.original, sound: copyOf.madeFrom.recipe?.audio };
  const files = [
    { ...originalToJudge(job.clip, job.judge, original.document.file, original), ...comparedWith },
  ];
  for (const { key, path: name, target, require, losses, recipe } of job.outputs) {
    const kept = measured.get(key);
    if (kept === undefined) throw new Error(`no measurement of ${name} after the work was done`);
    files.push({
      ...{ path: below(out, name), before: kept.document.file, measured: kept },
      original: original.document,
      sound: recipe.audio,
      targets: [{ name: target, require }],
      verdictFile: () => verdictFile(name),
      item: { kind: 'output', path: name, losses },
    });
  }
  return files;
}

function originalToJudge(
  { path, name }: { readonly path: string; readonly name: string },
  judge: PlannedJob['judge'],
  before: FileToJudge['before'],
  measured: FileToJudge['measured'],
): FileToJudge {
  return {
    ...{ path, before, measured },
    targets: judge.map(({ target, require }) => ({ name: target, require })),
    verdictFile: (target) => originalVerdictFile(target, name),
    item: { kind: 'original', path, losses: [] },
  };
}

async function judgeFiles(
  out: string,
  files: readonly FileToJudge[],
  { signal, hashing }: Pick<ClipContext, 'signal' | 'hashing'>,
): Promise<Pick<BatchClip, 'items'> & Pick<ClipDone, 'verdicts'>> {
  const judged: JudgedItem[] = [];
  const options = { now: new Date(), signal, onProgress: hashing };
  for (const file of files) judged.push(...(await judgeFile(out, file, options)));
  return { items: judged.map(({ item }) => item), verdicts: judged.map(({ verdict }) => verdict) };
}

/**
 * One output, and the documents of one clip, have one writer, whatever queues its workers listen to. Who else
 * wants to make the same waits, and then finds it done.
 */
function lockClip({ job, out }: ClipJobData, { log, signal }: ClipContext): Promise<Lock> {
  const things = [originalMeasurementFile(job.clip.name), ...job.outputs.map(({ path }) => path)];
  return takeLocks(below(out, LOCKS_FOLDER), things, {
    signal,
    onWait: (holder) => log.info({ clip: job.clip.name, holder }, 'waiting: another makes the same'),
  });
}

/**
 * The whole of one clip: decode it once into every output still missing and into its own measurement, measure
 * each output, give the outputs their names, and judge. `check` and every batch go this way. Interrupted at
 * any point, the next call goes on with what is missing. The caller has made sure that this worker may write
 * there (`requireWritable`).
 *
 * @throws GoodgateError; family `world` is worth another try, the others are not.
 */
export async function handleClip(
  data: ClipJobData,
  site: Site,
  context: ClipContext,
  { anew = false, copyOf }: HandleOptions = {},
): Promise<ClipDone> {
  const started = performance.now();
  const { job } = data;
  await requireReadable(data, site.roots);
  await requireUnchanged(job.clip.path, job.clip.facts);

  const lock = await lockClip(data, context);
  let work: Work | null = null;
  try {
    // From here on it does not wait for others: its time begins.
    context.progress({ stage: 'decode', fraction: 0, detail: job.clip.name });
    work = await findDone(data, { lock, anew }, site, context);
    const { items, verdicts, original, wasThere, bytesAsBefore } = await workOn(
      data,
      work,
      site,
      context,
      copyOf,
    );
    const seconds = (performance.now() - started) / 1000;
    const { name } = job.clip;
    const clip: BatchClip = {
      ...{ name, job: job.id, state: 'done', error: null },
      ...{ original, items, seconds, run: data.run, wasThere, bytesAsBefore, slate: job.clip.slate ?? null },
    };
    return { clip, verdicts, times: work.times, made: work.missing.map(({ key }) => key) };
  } finally {
    work?.kept.remove();
    await lock.release();
  }
}

/** Makes and measures what is missing, and judges everything. */
async function workOn(
  data: ClipJobData,
  work: Work,
  site: Site,
  context: ClipContext,
  copyOf: CopyOf | undefined,
): Promise<
  Pick<BatchClip, 'items' | 'original' | 'wasThere' | 'bytesAsBefore'> & Pick<ClipDone, 'verdicts'>
> {
  const { job, out } = data;
  const { wasThere } = work;
  if (work.missing.length > 0 || work.original === null) {
    await makeMissing(data, work, site, context);
  } else if (wasThere) context.log.info({ clip: job.clip.name }, 'everything is there already');
  const { times } = work;
  await times.during('compare', () => compareCopies(data, work, site, context, copyOf));
  const { original } = work;
  if (original === null) throw new Error(`no measurement of ${job.clip.name} after the work was done`);
  context.progress({ stage: 'judge', fraction: 1, detail: job.clip.name });
  const files = filesToJudge(data, work, original, copyOf);
  const judged = await times.during('judge', () => judgeFiles(out, files, context));
  return { ...judged, original: original.ref, wasThere, bytesAsBefore: work.bytesAsBefore };
}

/**
 * A file that is there and of which nothing could be measured: every target is told why.
 *
 * @throws GoodgateError `missing-file`, `interrupted`, `disk-full`, `cannot-write`.
 */
export async function judgeUnmeasured(
  out: string,
  { path, name, judge }: { path: string; name: string; judge: PlannedJob['judge'] },
  reason: NotMeasured,
  context: Pick<ClipContext, 'signal' | 'hashing'>,
): Promise<ClipDone> {
  const file = originalToJudge({ path, name }, judge, await fileState(path), reason);
  const { items, verdicts } = await judgeFiles(out, [file], context);
  const clip: BatchClip = {
    ...{ name, job: name, state: 'done', error: null },
    ...{ original: null, items, seconds: null, run: null, wasThere: false, bytesAsBefore: null, slate: null },
  };
  return { clip, verdicts, times: new StageTimes(), made: [] };
}
