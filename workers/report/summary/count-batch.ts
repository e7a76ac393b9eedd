import type { Batch, BatchTotals } from '../../../jobs/plan/batch.js';
import { cameIn } from '../../../jobs/plan/came-in.js';
import type { ReportFile } from './standing.js';
import { type UndoneKind, undoneOf } from './undone.js';

/**
 * How many results a batch has of each kind: one for each file that was made or judged, and one for each clip
 * or output of which nothing came. Headline, bar, lists, navigation, terminal and `batch.json` all show these
 * figures, so that each can be added up to any other:
 *
 *     results = fit + needYou + waiting + unjudged
 *     fit     = pass + warn
 *     needYou = fail + unmeasured + unreadable + notDone + refused
 */
export function countBatch(batch: Batch, files: readonly Pick<ReportFile, 'standing'>[]): BatchTotals {
  const standing = (wanted: ReportFile['standing']): number =>
    files.filter((file) => file.standing === wanted).length;
  const all = undoneOf(batch);
  const undone = (wanted: UndoneKind): number => all.filter(({ kind }) => kind === wanted).length;
  const [pass, warn] = [standing('pass'), standing('warn')];
  const needing = {
    fail: standing('fail'),
    unmeasured: standing('unmeasured'),
    unreadable: undone('unreadable'),
    notDone: undone('not-done'),
    refused: undone('refused'),
  };
  return {
    results: files.length + all.length,
    fit: pass + warn,
    needYou: Object.values(needing).reduce((sum, number) => sum + number, 0),
    ...needing,
    warn,
    pass,
    waiting: undone('waiting'),
    unjudged: standing('unjudged'),
    clips: cameIn({ ...batch, clips: batch.clips.map(({ name }) => name) }).clips,
  };
}
