import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { BatchItem } from '../../jobs/plan/batch.js';
import type { Verdict } from '../../jobs/verdict/verdict.js';
import { type JudgedTarget, judge } from '../judge/judge.js';
import { unreadableVerdict } from '../judge/unreadable.js';
import { type FileState, type HashOptions, waiveInBatch } from '../judge/waive-file.js';
import { below } from './folder.js';
import { writeJson } from './write-whole.js';

/** A file as it is to be judged: what was measured of it, or why nothing could be. */
export interface FileToJudge {
  /** Absolute path of the file. */
  readonly path: string;
  /** The file as it was before it was measured. */
  readonly before: FileState;
  readonly measured:
    | {
        readonly measurement: Measurement;
        /** Of the clip it was made from; absent for a file that is judged as it came. */
        readonly original?: Measurement;
      }
    | { readonly unreadable: string };
  readonly targets: readonly JudgedTarget[];
  /** Where the verdict by a target goes, below the batch folder. */
  readonly verdictFile: (target: string) => string;
  /** What its items say beside the verdict. */
  readonly item: Pick<BatchItem, 'kind' | 'path' | 'measurement' | 'losses'>;
}

/** How one file stands to one target: the item of its batch, and the verdict that lies in the folder. */
export interface JudgedItem {
  readonly item: BatchItem;
  readonly verdict: Verdict;
}

/**
 * Judges one file by each target, lays over it what people accepted, and writes each verdict into the batch folder.
 *
 * @throws GoodgateError `missing-file`, `interrupted`, `disk-full`, `cannot-write`.
 */
export async function judgeFile(
  out: string,
  file: FileToJudge,
  options: HashOptions & { readonly now: Date },
): Promise<JudgedItem[]> {
  const { path, before, measured } = file;
  const measurement = 'unreadable' in measured ? null : measured.measurement;
  const found = file.targets.map((target) =>
    'unreadable' in measured
      ? unreadableVerdict(path, target.name, measured.unreadable)
      : judge(measured.measurement, target, { original: measured.original }),
  );
  const items: JudgedItem[] = [];
  for (const verdict of await waiveInBatch(found, { path, before, measurement }, options)) {
    const { target, verdict: word } = verdict;
    const verdictFile = file.verdictFile(target);
    await writeJson(below(out, verdictFile), verdict);
    const bytes = measurement?.file.bytes ?? null;
    items.push({ item: { ...file.item, target, verdict: verdictFile, word, bytes }, verdict });
  }
  return items;
}
