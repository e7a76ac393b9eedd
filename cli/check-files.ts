import { stat } from 'node:fs/promises';
import { basename, resolve } from 'node:path';
import { GoodgateError } from '../jobs/errors.js';
import type { ColourOverride } from '../jobs/manifest/manifest.js';
import type { Measurement } from '../jobs/measurement/measurement.js';
import type { Batch, BatchClip } from '../jobs/plan/batch.js';
import type { Target } from '../jobs/targets/target.js';
import { loadWaivers } from '../jobs/verdict/load-waivers.js';
import type { Verdict } from '../jobs/verdict/verdict.js';
import { writeBatch } from '../workers/batch/assemble.js';
import { below, originalMeasurementFile, originalVerdictFile } from '../workers/batch/folder.js';
import { writeJson } from '../workers/batch/write-whole.js';
import { judge } from '../workers/judge/judge.js';
import { unreadableVerdict } from '../workers/judge/unreadable.js';
import { fileState, waiveVerdicts } from '../workers/judge/waive-file.js';
import { loadReportDocuments } from '../workers/report/html/pages/load-documents.js';
import { writeFindings } from '../workers/report/write-findings.js';
import { checkStills } from './check-stills.js';
import type { CheckAsked, CheckedFile } from './checked-file.js';
import type { Environment } from './environment.js';
import { measureOne } from './measure-one.js';
import { goodgateVersion } from './version.js';

export interface CheckOptions {
  readonly environment: Environment;
  readonly colour: ColourOverride | undefined;
  readonly signal: AbortSignal;
  readonly onProgress?: ((file: string, fraction: number) => void) | undefined;
  /** A file with waivers is read once more, for its hash. */
  readonly onHash?: ((fraction: number) => void) | undefined;
  /** The time waivers expire by; the clock's where it is not given. */
  readonly now?: Date;
}

/** A file that is not there is a wrong request; one that is there and cannot be read has failed. */
async function requirePresent(files: readonly string[]): Promise<void> {
  for (const file of files) {
    const found = await stat(file).catch(() => null);
    if (!found?.isFile()) {
      throw new GoodgateError('missing-file', {
        what: 'there is no such file',
        where: file,
        next: 'check the path',
      });
    }
  }
}

/**
 * Measures each file once and judges it against each target, in the order given.
 *
 * @throws GoodgateError `missing-file`, `bad-option` (a target that requires nothing), `interrupted`,
 * `missing-tool`, `measure-failed`.
 */
export async function checkFiles(
  files: readonly string[],
  targets: readonly Target[],
  options: CheckOptions,
): Promise<CheckedFile[]> {
  await requirePresent(files);
  for (const target of targets) {
    if (target.require === undefined) {
      throw new GoodgateError('bad-option', {
        what: `the target ${target.name} requires nothing, so nothing can be judged by it`,
        next: 'name a target with `require`; goodgate targets lists which judge',
      });
    }
  }
  const checked: CheckedFile[] = [];
  // A mistake in a waiver file is told now, not after hours of measuring.
  for (const file of files) await loadWaivers(resolve(file));
  for (const file of files) {
    const started = performance.now();
    const path = resolve(file);
    const wanted = targets.map((target) => ({ name: target.name, require: target.require ?? {} }));
    let measurement: Measurement | null = null;
    let verdicts: Verdict[];
    const before = await fileState(path);
    try {
      const one = await measureOne(path, {
        environment: options.environment,
        colour: options.colour,
        signal: options.signal,
        onProgress: (fraction) => options.onProgress?.(file, fraction),
      });
      measurement = one.measurement;
      const measured = one.measurement;
      verdicts = wanted.map((target) => judge(measured, target, {}));
    } catch (error) {
      if (!(error instanceof GoodgateError) || error.code !== 'unreadable-clip') throw error;
      verdicts = wanted.map((target) => unreadableVerdict(path, target.name, error.what));
    }
    verdicts = await waiveVerdicts(
      verdicts,
      { path, before, measurement, waivers: await loadWaivers(path) },
      { now: options.now ?? new Date(), signal: options.signal, onProgress: options.onHash },
    );
    checked.push({ path, measurement, verdicts, seconds: (performance.now() - started) / 1000 });
  }
  return checked;
}

/** Names for files of any folders in one report folder: the base name, told apart by a number where it must be. */
function reportNames(files: readonly CheckedFile[]): string[] {
  const taken = new Set<string>();
  return files.map(({ path }) => {
    for (let n = 1; ; n += 1) {
      const name = n === 1 ? basename(path) : `${n}-${basename(path)}`;
      if (taken.has(name)) continue;
      taken.add(name);
      return name;
    }
  });
}

/**
 * Writes measurements, verdicts, batch.json, findings.csv, markers, report.html and a page for each file of a check into a
 * folder.
 *
 * @returns files whose places cannot be written as markers, with the reason
 */
export async function writeCheckReport(
  folder: string,
  title: string,
  files: readonly CheckedFile[],
  startedAt: Date,
  asked: CheckAsked,
): Promise<{ readonly file: string; readonly reason: string }[]> {
  const names = reportNames(files);
  const clips: BatchClip[] = [];
  for (const [index, file] of files.entries()) {
    const name = names[index] ?? basename(file.path);
    const measurementPath = file.measurement === null ? null : originalMeasurementFile(name);
    if (measurementPath !== null) await writeJson(below(folder, measurementPath), file.measurement);
    const items: BatchClip['items'] = [];
    for (const verdict of file.verdicts) {
      const verdictPath = originalVerdictFile(verdict.target, name);
      await writeJson(below(folder, verdictPath), verdict);
      items.push({
        kind: 'original',
        target: verdict.target,
        path: file.path,
        measurement: measurementPath,
        verdict: verdictPath,
        word: verdict.verdict,
        losses: [],
        bytes: file.measurement?.file.bytes ?? null,
      });
    }
    clips.push({ name, job: String(index + 1), state: 'done', error: null, items, seconds: file.seconds });
  }
  const method = files.find((file) => file.measurement !== null)?.measurement?.method;
  const batch: Batch = {
    schema: 'goodgate/batch@1',
    id: 'check',
    title,
    state: 'finished',
    startedAt: startedAt.toISOString(),
    finishedAt: new Date().toISOString(),
    clips,
    refused: [],
    unreadable: [],
    method: { ffmpeg: method?.ffmpeg ?? 'unknown', goodgate: method?.goodgate ?? goodgateVersion() },
  };
  await writeBatch(folder, batch);
  const transfer = asked.colour?.transfer;
  const stills = await checkStills(files, asked);
  const documents = await loadReportDocuments(batch, (path) => below(folder, path), {
    requirements: new Map(asked.targets.map((target) => [target.name, target.require ?? {}])),
    transfers: new Map(
      files.flatMap(({ path }) => (transfer === undefined ? [] : [[path, transfer] as const])),
    ),
    stills,
  });
  // Loaded when it is needed: see handle-report.ts.
  const { writeReports } = await import('../workers/report/html/pages/write-reports.js');
  await writeReports(folder, batch, documents);
  return writeFindings(folder, batch, documents);
}
