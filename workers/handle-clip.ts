import { mkdir } from 'node:fs/promises';
import { dirname } from 'node:path';
import type { Measurement } from '../jobs/measurement/measurement.js';
import type { BatchClip, BatchItem } from '../jobs/plan/batch.js';
import type { PlannedOutput } from '../jobs/plan/plan.js';
import type { ClipJobData } from '../jobs/queue/messages.js';
import type { Verdict } from '../jobs/verdict/verdict.js';
import {
  below,
  measurementFile,
  originalMeasurementFile,
  originalVerdictFile,
  resultFile,
  verdictFile,
} from './batch/folder.js';
import { provenMeasurement, writeRecord } from './batch/record.js';
import { writeFailure, writeJson } from './batch/write-whole.js';
import type { ClipContext, Site } from './clip-context.js';
import { judge } from './judge/judge.js';
import { fileState, waiveInBatch } from './judge/waive-file.js';
import { DECODE_SHARE, decodeOnce, removeTemporary } from './make/decode-once.js';
import { finishOutput } from './make/finish-output.js';
import { requireReadable } from './roots.js';
import { requireUnchanged } from './unchanged.js';

interface Work {
  readonly missing: readonly PlannedOutput[];
  readonly measured: Map<string, Measurement>;
  original: Measurement | null;
}

/** What an earlier run left whole need not be done again. */
async function findDone(data: ClipJobData): Promise<Work> {
  const { job, out } = data;
  const measured = new Map<string, Measurement>();
  for (const output of job.outputs) {
    const proven = await provenMeasurement(out, output.key, below(out, output.path));
    if (proven !== null) measured.set(output.key, proven);
  }
  return {
    missing: job.outputs.filter((output) => !measured.has(output.key)),
    measured,
    original: await provenMeasurement(out, job.clipKey, job.clip.path),
  };
}

async function judgeAll(
  data: ClipJobData,
  work: Work & { original: Measurement },
  context: ClipContext,
): Promise<BatchItem[]> {
  const { job, out } = data;
  const clock = { now: new Date(), signal: context.signal };
  const { bytes, modified } = job.clip.facts;
  const original = {
    path: job.clip.path,
    before: { size: bytes, modified: Date.parse(modified) },
    measurement: work.original,
  };
  const items: BatchItem[] = [];
  const keep = async (file: string, verdict: Verdict, item: Omit<BatchItem, 'verdict' | 'word'>) => {
    await writeJson(below(out, file), verdict);
    items.push({ ...item, verdict: file, word: verdict.verdict });
  };
  for (const { target, require } of job.judge) {
    await keep(
      originalVerdictFile(target, job.clip.name),
      await waiveInBatch(judge(work.original, { name: target, require }, {}), original, clock),
      {
        kind: 'original',
        target,
        path: job.clip.path,
        measurement: originalMeasurementFile(job.clip.name),
        losses: [],
        bytes: work.original.file.bytes,
      },
    );
  }
  for (const output of job.outputs) {
    const measurement = work.measured.get(output.key);
    if (measurement === undefined)
      throw new Error(`no measurement of ${output.path} after the work was done`);
    const path = below(out, output.path);
    await keep(
      verdictFile(output.path),
      await waiveInBatch(
        judge(measurement, { name: output.target, require: output.require }, { original: work.original }),
        { path, before: await fileState(path), measurement },
        clock,
      ),
      {
        kind: 'output',
        target: output.target,
        path: output.path,
        measurement: measurementFile(output.path),
        losses: output.losses,
        bytes: measurement.file.bytes,
      },
    );
  }
  return items;
}

/**
 * The whole of one clip: decode it once into every output still missing and into its own measurement, measure
 * each output, judge, and only then give the outputs their names. Interrupted at any point, the next call goes on
 * with what is missing. The caller has made sure that this worker may write there (`requireWritable`).
 *
 * @throws GoodgateError; family `world` is worth another try, the others are not.
 */
export async function handleClip(data: ClipJobData, site: Site, context: ClipContext): Promise<BatchClip> {
  const started = performance.now();
  const { job, out } = data;
  await requireReadable(data, site.roots);
  await requireUnchanged(job.clip.path, job.clip.facts);

  const work = await findDone(data);
  if (work.missing.length > 0 || work.original === null) {
    for (const output of work.missing) {
      const folder = dirname(below(out, output.path));
      await mkdir(folder, { recursive: true }).catch((error: unknown) => {
        throw writeFailure(folder, error);
      });
    }
    const { temporary, original } = await decodeOnce(
      data,
      work.missing,
      work.original === null,
      site,
      context,
    );
    try {
      if (original !== null) {
        const file = originalMeasurementFile(job.clip.name);
        await writeJson(below(out, file), original);
        await writeRecord(out, {
          key: job.clipKey,
          path: job.clip.path,
          absolute: job.clip.path,
          measurement: file,
        });
        work.original = original;
      }
      for (const [index, output] of work.missing.entries()) {
        const temporaryPath = temporary.get(output.key) ?? '';
        const measurement = await finishOutput(out, output, temporaryPath, site, context, (fraction) =>
          context.progress({
            stage: 'measure',
            fraction: DECODE_SHARE + ((1 - DECODE_SHARE) * (index + fraction)) / work.missing.length,
            detail: output.path,
          }),
        );
        work.measured.set(output.key, measurement);
      }
    } finally {
      // Those that have their name are gone from here already.
      await removeTemporary(temporary.values());
    }
  } else {
    context.log.info({ clip: job.clip.name }, 'everything is there already');
  }
  if (work.original === null) throw new Error(`no measurement of ${job.clip.name} after the work was done`);
  context.progress({ stage: 'judge', fraction: 1, detail: job.clip.name });
  const result: BatchClip = {
    name: job.clip.name,
    job: job.id,
    state: 'done',
    error: null,
    items: await judgeAll(data, { ...work, original: work.original }, context),
    seconds: (performance.now() - started) / 1000,
  };
  await writeJson(below(out, resultFile(job.id)), result);
  return result;
}
