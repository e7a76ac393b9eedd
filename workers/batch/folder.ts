import { createHash } from 'node:crypto';
import { dirname, join } from 'node:path';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';

/**
 * The batch folder:
 *
 *     <target>/...                 outputs, under their name only when complete and measured
 *     measurements/<target>/...    what was measured of each output; `originals` for the clips themselves
 *                                  (.json), and a page of each (.html)
 *     verdicts/<target>/...        how each stands to its target
 *     results/<job>.json           what became of each clip
 *     .parts/<requester>/...       figures of parts of a long file, until they are merged
 *     .stills/<target>/...         pictures of the report, until what they show changes
 *     .locks/...                   who works on what, while it does (lock.ts)
 *     .goodgate-batch              marks the folder: `scan` leaves it out
 *     markers/<target>/...         places of findings as an edit decision list, where there are any
 *     submission.json              what was submitted, by whom: marks the folder as that batch's
 *     notice.json                  whom its end was told
 *     plan.json, batch.json, report.html, findings.csv, logs/batch.log
 *
 * All names given and returned are relative, `/` between parts.
 */
export const PLAN_FILE = 'plan.json';
export const SUBMISSION_FILE = 'submission.json';
export const BATCH_FILE = 'batch.json';
export const NOTICE_FILE = 'notice.json';
export const REPORT_FILE = 'report.html';
export const FINDINGS_FILE = 'findings.csv';
export const MARKERS_FOLDER = 'markers';
export const LOG_FILE = 'logs/batch.log';
/** No target can have this name, since outputs lie in folders of their targets' names. */
export const PARTS_FOLDER = '.parts';
/** Likewise. */
export const LOCKS_FOLDER = '.locks';
/** Likewise. */
export const STILLS_FOLDER = '.stills';
/** Lies in every batch folder: what is below was made, and is no original. */
export const BATCH_MARKER = '.goodgate-batch';
/** Likewise. */
export const RESULTS_FOLDER = 'results';
/** Folders a worker writes documents to, whatever the targets. */
export const WRITTEN_FOLDERS = [
  'measurements',
  'verdicts',
  RESULTS_FOLDER,
  PARTS_FOLDER,
  LOCKS_FOLDER,
  STILLS_FOLDER,
] as const;
/**
 * Stands in a target's place for the clips themselves. A target's name cannot collide: see the target
 * schema's reserved names.
 */
export const ORIGINALS = 'originals';

/** File systems allow 255 bytes a name; the document's extension and a temporary name need some of them. */
const LONGEST_NAME_BYTES = 200;

/**
 * The document's name beside a media file's: the same name and `.json`; a very long one is cut and told apart
 * by a hash.
 */
function documentName(path: string, extension = '.json'): string {
  const slash = path.lastIndexOf('/');
  const name = path.slice(slash + 1);
  if (Buffer.byteLength(name) <= LONGEST_NAME_BYTES) return `${path}${extension}`;
  const hash = createHash('sha256').update(name).digest('hex').slice(0, 12);
  let stem = name;
  while (Buffer.byteLength(stem) > LONGEST_NAME_BYTES - 13) stem = Array.from(stem).slice(0, -1).join('');
  return `${path.slice(0, slash + 1)}${stem}-${hash}${extension}`;
}

export function measurementFile(output: string): string {
  return `measurements/${documentName(output)}`;
}

export function originalMeasurementFile(clip: string): string {
  return `measurements/${ORIGINALS}/${documentName(clip)}`;
}

/** @param document of the measurement of the file */
export function stillsFile(document: string): string {
  return document.replace(/^measurements/, STILLS_FOLDER);
}

export function verdictFile(output: string): string {
  return `verdicts/${documentName(output)}`;
}

/** A clip can be judged against several targets. */
export function originalVerdictFile(target: string, clip: string): string {
  return `verdicts/${ORIGINALS}/${target}/${documentName(clip)}`;
}

export function markersFile(output: string): string {
  return `${MARKERS_FOLDER}/${documentName(output, '.edl')}`;
}

export function originalMarkersFile(clip: string): string {
  return `${MARKERS_FOLDER}/${ORIGINALS}/${documentName(clip, '.edl')}`;
}

/** Where the figures of parts lie until whoever asked for them has merged them. */
export function partsFolder(requester: string): string {
  return `${PARTS_FOLDER}/${requester}`;
}

export function partFile(requester: string, part: number): string {
  return `${partsFolder(requester)}/${part}`;
}

export function resultFile(job: string): string {
  return `${RESULTS_FOLDER}/${job}.json`;
}

/** A path below the batch folder as the file system wants it. */
export function below(out: string, relative: string): string {
  return join(out, ...relative.split('/'));
}

/**
 * The name an output has while it is made: hidden, in the same folder so that a rename is all it takes,
 * unique to the attempt so that two workers never write one file, with the real extension so that the muxer
 * is chosen by it. Of a picture sequence the folder has it.
 */
export function temporaryName(output: string, key: string, attempt: string): string {
  const frames = sequenceName(output);
  if (frames !== null) {
    const { folder } = frames;
    const name = output.slice(folder.length);
    const hidden = temporaryName(`${folder.slice(0, -1)}${name.slice(name.lastIndexOf('.'))}`, key, attempt);
    return `${hidden}/${name}`;
  }
  const slash = output.lastIndexOf('/');
  const file = output.slice(slash + 1);
  return `${output.slice(0, slash + 1)}.${key}.${attempt}.part${file.slice(file.lastIndexOf('.'))}`;
}

/**
 * What is renamed when an output is done, and removed when it is not: its file, or the folder of its
 * frames.
 */
export function wholeOf(path: string): string {
  return sequenceName(path) === null ? path : dirname(path);
}
