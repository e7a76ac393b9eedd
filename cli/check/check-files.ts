import { stat } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { basename, join, resolve } from 'node:path';
import { foldedPath } from '../../jobs/documents/folded-path.js';
import { GoodgateError } from '../../jobs/errors.js';
import type { ColourOverride } from '../../jobs/manifest/manifest.js';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import type { Batch } from '../../jobs/plan/batch.js';
import type { PlannedJob } from '../../jobs/plan/plan.js';
import type { Target } from '../../jobs/targets/target.js';
import { loadWaivers } from '../../jobs/verdict/load-waivers.js';
import type { Verdict } from '../../jobs/verdict/verdict.js';
import { BATCH_MARKER, below } from '../../workers/batch/folder.js';
import type { NotMeasured } from '../../workers/batch/judge-file.js';
import { askCapabilities } from '../../workers/capabilities/ask-ffmpeg.js';
import { makeTemporaryFolder } from '../../workers/children/temporary-folder.js';
import type { ClipContext, Log, Site } from '../../workers/clip-context.js';
import { fileState } from '../../workers/file/file-state.js';
import { type ClipDone, judgeUnmeasured } from '../../workers/handle-clip.js';
import { reportBatch } from '../../workers/handle-report.js';
import type { Environment } from '../environment.js';
import { goodgateVersion } from '../version.js';
import { type CheckBatch, checkOne, measureOriginal, rootOf } from './check-one.js';

export interface CheckOptions {
  readonly environment: Environment;
  readonly colour: ColourOverride | undefined;
  readonly signal: AbortSignal;
  readonly log: Log;
  /** Every file is a copy of this one, and compared with it; null or left out: each is judged by itself. */
  readonly original?: string | null;
  /** Where targets that are not built in were read from, by their names. */
  readonly targetFiles?: Readonly<Record<string, string>>;
  /** Folder to write a report into, with all documents; null: none is wanted. */
  readonly report: string | null;
  readonly onProgress?: ((fraction: number) => void) | undefined;
  /** The file that is being measured now, the first is 1; and that all are, and the report is written. */
  readonly onFile?: ((path: string, number: number) => void) | undefined;
  readonly onReport?: (() => void) | undefined;
  /** A file with waivers is read once more, for its hash. */
  readonly onHash?: ((fraction: number) => void) | undefined;
}

export interface Checked {
  /** Of each file by each target, in the order given. */
  readonly verdicts: readonly Verdict[];
  /** Files whose places cannot be written as markers, with the reason. */
  readonly unmarked: readonly { readonly file: string; readonly reason: string }[];
}

/** A file that is not there is a wrong request; one that is there and cannot be read has failed. */
export async function requirePresent(files: readonly string[]): Promise<void> {
  for (const file of files) {
    if (sequenceName(file) !== null) {
      await fileState(resolve(file));
      continue;
    }
    const found = await stat(file).catch(() => null);
    if (found?.isDirectory()) {
      throw new GoodgateError('missing-file', {
        what: 'this is a folder; check takes the files of masters',
        where: file,
        next: `name its files: ${join(file, '*.mov')}, for one; to check a whole folder: goodgate run ${file} --target NAME`,
      });
    }
    if (!found?.isFile()) {
      throw new GoodgateError('missing-file', {
        what: 'there is no such file',
        where: file,
        next: 'check the path',
      });
    }
  }
}

/** A report of its own would take the place of that of a batch. */
async function requireNoBatch(folder: string): Promise<void> {
  if ((await stat(below(folder, BATCH_MARKER)).catch(() => null)) === null) return;
  throw new GoodgateError('folder-taken', {
    what: 'the folder holds a batch, with a report of its own',
    where: folder,
    next: 'give another folder with --report',
  });
}

function judgeBy(targets: readonly Target[]): PlannedJob['judge'] {
  return targets.map(({ name, require }) => {
    if (require !== undefined) return { target: name, require };
    throw new GoodgateError('bad-option', {
      what: `the target ${name} requires nothing, so nothing can be judged by it`,
      next: 'name a target with `require`; goodgate targets lists which judge',
    });
  });
}

/** Names for files of any folders in one batch: the base name, told apart by a number where it must be. */
function batchNames(paths: readonly string[]): { path: string; name: string }[] {
  const taken = new Set<string>();
  return paths.map((path) => {
    for (let n = 1; ; n += 1) {
      const name = n === 1 ? basename(path) : `${n}-${basename(path)}`;
      if (taken.has(foldedPath(name))) continue;
      taken.add(foldedPath(name));
      return { path, name };
    }
  });
}

type FileDone = ClipDone & { readonly job: PlannedJob | null };

/** As `checkOne`; what cannot be measured is told in a verdict. */
async function judgedOne(file: { path: string; name: string }, check: CheckBatch): Promise<FileDone> {
  try {
    return await checkOne(file, check);
  } catch (error) {
    const reason = notMeasured(error);
    if (reason === null) throw error;
    const { out, judge, context } = check;
    return { job: null, ...(await judgeUnmeasured(out, { ...file, judge }, reason, context)) };
  }
}

/** Errors that are told of a file as its verdict; null of any other. */
function notMeasured(error: unknown): NotMeasured | null {
  if (!(error instanceof GoodgateError)) return null;
  if (error.code === 'unreadable-clip') return { why: 'unreadable', reason: error.what };
  const isChange = error.code === 'file-changed' || error.code === 'clip-changed';
  return isChange ? { why: 'changed', reason: error.what } : null;
}

/**
 * Measures each file and judges it by each target, in the order given, as a batch does with clips that are
 * only judged. With a report asked for, the batch's folder is that of the report; otherwise nothing is left.
 *
 * @throws GoodgateError `missing-file`, `bad-option` (a target that requires nothing), `folder-taken`,
 * `bad-document` (a waiver), `interrupted`, `missing-tool`, `measure-failed`, `disk-full`, `cannot-write`.
 */
export async function checkFiles(
  files: readonly string[],
  targets: readonly Target[],
  options: CheckOptions,
): Promise<Checked> {
  const startedAt = new Date();
  await requirePresent(files);
  if (options.report !== null) await requireNoBatch(options.report);
  const judge = judgeBy(targets);
  const paths = files.map((file) => resolve(file));
  // A mistake in a waiver file is told now, not after hours of measuring.
  for (const path of paths) await loadWaivers(path);
  const { environment, signal, log, report, original: from = null, targetFiles = {} } = options;
  if (from !== null) await requirePresent([from]);
  const folder = report === null ? makeTemporaryFolder('check') : { path: report, remove: () => undefined };
  const out = folder.path;
  try {
    const site: Site = {
      capabilities: await askCapabilities({ tools: environment.tools, cacheFolder: environment.stateFolder }),
      version: goodgateVersion(),
      // Whoever starts a check names the very files.
      roots: [...[...paths, ...(from === null ? [] : [resolve(from)])].map(rootOf), out],
      tools: environment.tools,
    };
    const context: ClipContext = {
      ...{ log, signal },
      progress: ({ fraction }) => options.onProgress?.(fraction),
      hashing: options.onHash,
      // One file at a time: it may use every core.
      parallelism: async () => ({ here: availableParallelism() }),
    };
    const original =
      from === null ? null : await measureOriginal(resolve(from), undefined, { site, context });
    const done: FileDone[] = [];
    for (const [index, file] of batchNames(paths).entries()) {
      options.onFile?.(file.path, index + 1);
      const { colour } = options;
      done.push(await judgedOne(file, { out, judge, site, context, colour, original }));
    }
    const verdicts = done.flatMap((file) => file.verdicts);
    if (report === null) return { verdicts, unmarked: [] };
    options.onReport?.();
    const batch: Batch = {
      ...{
        schema: 'goodgate/batch@1',
        id: 'check',
        state: 'finished',
        refused: [],
        skipped: [],
        soundApart: [],
        manifests: [],
        left: [],
        unreadable: [],
      },
      title: targets.map((target) => target.title).join(', '),
      startedAt: startedAt.toISOString(),
      finishedAt: new Date().toISOString(),
      clips: done.map(({ clip }) => clip),
      method: { ffmpeg: site.capabilities.ffmpegVersion, goodgate: site.version },
      ...{ before: null, totals: null },
    };
    const jobs = done.flatMap(({ job }) => job ?? []);
    const { unmarked } = await reportBatch(
      out,
      batch,
      { jobs, targetFiles, original: from },
      { ...site, log, signal },
    );
    return { verdicts, unmarked };
  } finally {
    folder.remove();
  }
}
