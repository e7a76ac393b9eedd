import { availableParallelism } from 'node:os';
import { basename, resolve } from 'node:path';
import type { Comparison } from '../../jobs/comparison/comparison.js';
import { COPY_REQUIRES } from '../../jobs/comparison/copy-requirements.js';
import { GoodgateError } from '../../jobs/errors.js';
import type { ColourOverride } from '../../jobs/manifest/manifest.js';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import { readKept } from '../../workers/batch/documents.js';
import { originalMeasurementFile } from '../../workers/batch/folder.js';
import { askCapabilities } from '../../workers/capabilities/ask-ffmpeg.js';
import { makeTemporaryFolder } from '../../workers/children/temporary-folder.js';
import type { ClipContext, Log, Site } from '../../workers/clip-context.js';
import { alike } from '../../workers/compare/compare-measured.js';
import type { ComparedFile } from '../../workers/compare/compare-pictures.js';
import { compareFigures } from '../../workers/compare/whole/compare-figures.js';
import { requirePresent } from '../check/check-files.js';
import { type CheckBatch, checkOne, measureOriginal, type OneChecked, rootOf } from '../check/check-one.js';
import type { Environment } from '../environment.js';
import { goodgateVersion } from '../version.js';

export interface CompareOptions {
  readonly environment: Environment;
  /** What the user says of the colour of the original. */
  readonly colour: ColourOverride | undefined;
  readonly signal: AbortSignal;
  readonly log: Log;
  /** Share done, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/** Shares of the time: the original, the copy, and both again for PSNR and SSIM. */
const ORIGINAL_DONE = 0.3;
const COPY_DONE = 0.7;
const TARGET = 'copy';

/**
 * Compares a copy with its original: measured and judged as `check --original` does, by what is required of
 * every copy, and PSNR and SSIM of all frames beside it.
 *
 * @throws GoodgateError as `checkOne`, and `missing-file`.
 */
export async function compareCopy(
  original: string,
  copy: string,
  { environment, colour, signal, log, onProgress }: CompareOptions,
): Promise<Comparison> {
  await requirePresent([original, copy]);
  const [from, path] = [resolve(original), resolve(copy)];
  const folder = makeTemporaryFolder('compare');
  const { tools, stateFolder: cacheFolder } = environment;
  try {
    const site: Site = {
      capabilities: await askCapabilities({ tools, cacheFolder }),
      version: goodgateVersion(),
      // Whoever compares names the very files.
      roots: [rootOf(from), rootOf(path), folder.path],
      tools,
    };
    const during = (start: number, end: number): ClipContext => ({
      ...{ log, signal },
      progress: ({ fraction }) => onProgress?.(start + (end - start) * fraction),
      parallelism: async () => ({ here: availableParallelism() }),
    });
    const had = await measureOriginal(from, colour, { site, context: during(0, ORIGINAL_DONE) });
    const batch: CheckBatch = {
      ...{ out: folder.path, site, original: had, colour: undefined },
      judge: [{ target: TARGET, require: COPY_REQUIRES }],
      context: during(ORIGINAL_DONE, COPY_DONE),
    };
    const checked = await checkOne({ path, name: basename(path) }, batch);
    const measured = await measurementOf(folder.path, path);
    const is = comparedCopy(checked, measured);
    const recipe = checked.copyOf?.madeFrom.recipe;
    const file = checked.copyOf?.madeFrom.file ?? had.file;
    const [before, after] = recipe === undefined ? alike(file, is, colour) : [file, is];
    const whole = await compareFigures(before, after, recipe, {
      ...{ tools, signal },
      onProgress: (share) => onProgress?.(COPY_DONE + (1 - COPY_DONE) * share),
    });
    onProgress?.(1);
    const [verdict] = checked.verdicts;
    if (verdict === undefined) throw new Error('a copy was checked and not judged');
    return {
      schema: 'goodgate/comparison@1',
      original: described(had.measurement, from),
      copy: described(measured, path),
      ...{ picture: measured.comparison, order: measured.frameOrder, whole: whole.figures },
      sound: measured.soundComparison ?? [],
      ...{ verdict: verdict.verdict, findings: verdict.findings },
      unmeasured: whole.unmeasured,
    };
  } finally {
    folder.remove();
  }
}

async function measurementOf(out: string, path: string): Promise<Measurement> {
  const kept = await readKept(out, originalMeasurementFile(basename(path)), measurement);
  if (kept !== null) return kept.document;
  throw new GoodgateError('measure-failed', {
    what: 'its measurement is gone',
    where: path,
    next: 'compare again; the folder for temporary files may be full',
  });
}

function comparedCopy({ job, facts, copyOf }: OneChecked, { video }: Measurement): ComparedFile {
  const { path, colour } = job.clip;
  return { path, facts: copyOf?.facts ?? facts, colour, frames: video?.frames ?? 0 };
}

function described({ file, video, container }: Measurement, path: string): Comparison['original'] {
  return {
    ...{ path, bytes: file.bytes, picture: video !== null, frames: video?.frames ?? null },
    startTimecode: container.startTimecode,
  };
}
