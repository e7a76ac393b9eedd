import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { BatchItem } from '../../jobs/plan/batch.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import type { Verdict } from '../../jobs/verdict/verdict.js';
import type { HashOptions } from '../file/hash-file.js';
import { type JudgedTarget, judge } from '../judge/judge.js';
import { unjudgedVerdict } from '../judge/unjudged.js';
import { type FileSeen, waiveInBatch } from '../judge/waive-file.js';
import { type Kept, keepDocument } from './documents.js';

/** Why there is no measurement of a file: it cannot be read at all, or it changed while it was read. */
export interface NotMeasured {
  readonly why: 'unreadable' | 'changed';
  readonly reason: string;
}

/** A file as it is to be judged: what was measured of it, or why nothing could be. */
export interface FileToJudge {
  /** Absolute path of the file. */
  readonly path: string;
  readonly before: FileSeen;
  readonly measured: Kept<Measurement> | NotMeasured;
  /** Of the clip it was made from; absent for a file that is judged as it came. */
  readonly original?: Measurement;
  /** How its sound was made of the original's. */
  readonly sound?: OutputRecipe['audio'];
  readonly targets: readonly JudgedTarget[];
  /** Where the verdict by a target goes, below the batch folder. */
  readonly verdictFile: (target: string) => string;
  /** What its items say beside measurement and verdict. */
  readonly item: Pick<BatchItem, 'kind' | 'path' | 'losses'>;
}

/** How one file stands to one target: the item of its batch, and the verdict that lies in the folder. */
export interface JudgedItem {
  readonly item: BatchItem;
  readonly verdict: Verdict;
}

/**
 * Judges one file by each target, lays over it what people accepted, and writes each verdict into the batch
 * folder.
 *
 * @throws GoodgateError `missing-file`, `interrupted`, `disk-full`, `cannot-write`.
 */
export async function judgeFile(
  out: string,
  file: FileToJudge,
  options: HashOptions & { readonly now: Date },
): Promise<JudgedItem[]> {
  const { path, before, measured, original, sound } = file;
  const kept = 'why' in measured ? null : measured;
  const found = file.targets.map((target) =>
    'why' in measured
      ? unjudgedVerdict(path, target.name, measured)
      : judge(measured.document, target, { original, sound }),
  );
  const measurement = kept?.document ?? null;
  const items: JudgedItem[] = [];
  for (const verdict of await waiveInBatch(found, { path, before, measurement }, options)) {
    const { target, verdict: word } = verdict;
    const { ref } = await keepDocument(out, file.verdictFile(target), verdict);
    const item: BatchItem = {
      ...{ ...file.item, target, word },
      ...{ measurement: kept?.ref.file ?? null, verdict: ref.file },
      sha256: { measurement: kept?.ref.sha256 ?? null, verdict: ref.sha256 },
      bytes: measurement?.file.bytes ?? null,
      modified: measurement?.file.modified ?? null,
      changed: measurement?.file.changed ?? null,
      since: null,
    };
    items.push({ item, verdict });
  }
  return items;
}
