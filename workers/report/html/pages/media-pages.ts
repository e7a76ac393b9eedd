import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Batch, BatchClip } from '../../../../jobs/plan/batch.js';
import { originalMeasurementFile, REPORT_FILE } from '../../../batch/folder.js';
import type { ReportFile } from '../../summary/standing.js';
import type { ReportDocuments } from './load-documents.js';

/** A report of one media file: every target it was held against, every plot, every figure. */
export interface MediaPage {
  /** Below the batch folder, beside the measurement. */
  readonly path: string;
  /** The name people know the file by: an original by the clip's, an output by its path in the batch. */
  readonly name: string;
  readonly kind: 'output' | 'original';
  readonly clip: BatchClip;
  readonly measurement: Measurement;
  readonly measurementFile: string;
  /** How it stands to each target; none where none asks anything of it. */
  readonly judged: readonly ReportFile[];
}

/**
 * Whether files get pages: not in a batch somebody stopped, who waits for the program to end and will start
 * it again.
 */
export function hasPages(batch: Batch): boolean {
  return batch.state === 'finished';
}

/** The page beside a measurement: the same name, `.html`. */
export function pageOfMeasurement(measurementFile: string): string {
  return measurementFile.replace(/\.json$/, '.html');
}

/**
 * One page for each file that was measured, outputs and judged originals first, in the order of the batch.
 */
export function mediaPages(
  batch: Batch,
  files: readonly ReportFile[],
  documents: ReportDocuments,
): MediaPage[] {
  const pages = new Map<string, MediaPage>();
  for (const file of files) {
    const { item, measurement, clip } = file;
    if (item.measurement === null || measurement === null) continue;
    const earlier = pages.get(item.measurement);
    pages.set(item.measurement, {
      path: pageOfMeasurement(item.measurement),
      name: item.kind === 'original' ? clip.name : item.path,
      kind: item.kind,
      clip,
      measurement,
      measurementFile: item.measurement,
      judged: [...(earlier?.judged ?? []), ...(item.target === null ? [] : [file])],
    });
  }
  for (const clip of batch.clips) {
    const measurement = documents.originals.get(clip.name);
    const measurementFile = originalMeasurementFile(clip.name);
    if (measurement === undefined || pages.has(measurementFile)) continue;
    pages.set(measurementFile, {
      path: pageOfMeasurement(measurementFile),
      name: clip.name,
      kind: 'original',
      clip,
      measurement,
      measurementFile,
      judged: [],
    });
  }
  return [...pages.values()];
}

/** A link from the batch's report to a file below its folder. */
export function linkTo(path: string): string {
  // A broken half of a surrogate pair has no place in an address.
  return path
    .split('/')
    .map((part) => encodeURIComponent(part.replace(/\p{Surrogate}/gu, '\ufffd')))
    .join('/');
}

/** From a page to the batch folder: `../` for each folder it lies below. */
export function linkToFolder(page: string): string {
  return '../'.repeat(page.split('/').length - 1);
}

/** The link back from a page to the batch's report. */
export function linkToBatch(page: string): string {
  return linkToFolder(page) + REPORT_FILE;
}
