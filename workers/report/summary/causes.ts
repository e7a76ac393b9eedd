import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { Batch } from '../../../jobs/plan/batch.js';
import { damageIn } from '../../judge/original/damage.js';
import { worstFindingsFirst } from '../order.js';
import { type Fault, faultOf } from './fault.js';
import { SINCE_WORDS } from './since.js';
import { fileName, type ReportFile } from './standing.js';
import { type Undone, undoneOf } from './undone.js';

export type CauseKind = 'fail' | 'unmeasured' | 'warn' | Undone['kind'];

/** A file, or what should have become one, in the list of a cause. */
export interface CauseFile {
  readonly id: string;
  readonly name: string;
  readonly target: string | null;
}

/** One reason for which results are not simply fit, and all results it holds for. */
export interface Cause {
  readonly kind: CauseKind;
  /** What is wrong, a line each, worst first. */
  readonly faults: readonly Pick<Fault, 'outcome' | 'what' | 'expected' | 'waived'>[];
  /** The files have these faults with figures of their own; those told are the first file's. */
  readonly figuresDiffer: boolean;
  /** What to do; empty where nothing has to be done. */
  readonly next: string;
  readonly files: readonly CauseFile[];
}

/** Requirements that speak of damage: what is damaged is told before what is merely not as asked. */
const OF_DAMAGE: ReadonlySet<string> = new Set(['decode', 'as-original']);
/** Files with the same faults and other figures get a line each up to here, and one together beyond. */
const FIGURES_EACH = 3;
/** Of damage more, since each is of a clip of its own. */
const DAMAGES_EACH = 12;

const RANKS: Readonly<Record<CauseKind, number>> = {
  unreadable: 0,
  fail: 2,
  'not-done': 3,
  unmeasured: 4,
  refused: 5,
  waiting: 6,
  warn: 7,
};
const DAMAGED = 1;
const LOST = 'its verdict cannot be read any more';

interface Told {
  readonly rank: number;
  readonly cause: Omit<Cause, 'files' | 'figuresDiffer'>;
  readonly file: CauseFile;
  /** Alike up to their figures. */
  readonly alike: string;
}

/**
 * Why results are not simply fit, equal reasons together, worst first: damage, then other failures, what was
 * not done, what could not be measured, what was refused, and warnings last. Each result stands in one cause:
 * together they are as many as the counts say.
 *
 * @param originals what was measured of each clip, by its name
 */
export function causesOf(
  batch: Batch,
  files: readonly ReportFile[],
  originals: ReadonlyMap<string, Measurement>,
): Cause[] {
  const told = [
    ...undoneOf(batch).map(toldOfUndone),
    ...files.flatMap((file) => toldOfFile(file, originals)),
  ];
  const buckets = groupBy(told, ({ alike }) => alike);
  const causes = buckets.flatMap((bucket) => {
    const exact = groupBy(bucket, ({ cause }) => JSON.stringify(cause));
    const isFewKinds = exact.length <= (bucket[0]?.rank === DAMAGED ? DAMAGES_EACH : FIGURES_EACH);
    return (isFewKinds ? exact : [bucket]).map((group) => ({ group, figuresDiffer: !isFewKinds }));
  });
  return causes
    .flatMap(({ group, figuresDiffer }) => {
      const [first] = group;
      if (first === undefined) return [];
      const { rank, cause } = first;
      return [{ rank, cause: { ...cause, figuresDiffer, files: group.map(({ file }) => file) } }];
    })
    .sort((a, b) => a.rank - b.rank)
    .map(({ cause }) => cause);
}

function toldOfUndone({ id, kind, clip, target, what, next }: Undone): Told {
  const cause = { kind, faults: [{ outcome: 'fail' as const, what, expected: '', waived: null }], next };
  return {
    rank: RANKS[kind],
    cause,
    file: { id, name: clip, target },
    alike: JSON.stringify([kind, what, next]),
  };
}

function toldOfFile(file: ReportFile, originals: ReadonlyMap<string, Measurement>): Told[] {
  const { standing, verdict, item, clip, id } = file;
  if (standing === 'pass' || standing === 'unjudged') return [];
  const named: CauseFile = { id, name: fileName(file), target: item.target };
  if (item.since !== null) {
    const { what, next } = SINCE_WORDS[item.since];
    const faults = [{ outcome: 'unmeasured' as const, what, expected: '', waived: null }];
    const cause = { kind: standing, faults, next };
    return [{ rank: RANKS[standing], cause, file: named, alike: `since ${item.since}` }];
  }
  if (verdict === null) {
    const cause = {
      kind: standing,
      faults: [{ outcome: 'unmeasured' as const, what: LOST, expected: '', waived: null }],
      next: 'Run the batch again: only this file will be judged.',
    };
    return [{ rank: RANKS[standing], cause, file: named, alike: 'lost' }];
  }
  const original = originals.get(clip.name);
  const damage = original === undefined ? null : damageIn(original);
  const faults = worstFindingsFirst(verdict.findings)
    .filter(({ outcome }) => outcome !== 'pass')
    .map((finding) => {
      const fault = faultOf(finding);
      const isOfOriginal = finding.requirement === 'as-original' && finding.outcome === 'fail';
      return isOfOriginal && damage !== null
        ? { ...fault, what: `Original ${clip.name} ${damage}`, expected: '' }
        : fault;
    });
  const isDamaged = faults.some(
    ({ requirement, outcome, waived }) =>
      OF_DAMAGE.has(requirement ?? '') && outcome === 'fail' && waived === null,
  );
  // What somebody accepted needs no advice, as long as nothing else does.
  const worst = standing === 'warn' ? faults.find(({ waived }) => waived === null) : faults[0];
  return [
    {
      rank: standing === 'fail' && isDamaged ? DAMAGED : RANKS[standing],
      cause: {
        kind: standing,
        faults: faults.map(({ outcome, what, expected, waived }) => ({ outcome, what, expected, waived })),
        next: worst?.advice ?? '',
      },
      file: named,
      alike: JSON.stringify([
        standing,
        isDamaged && damage !== null,
        faults.map(({ requirement, outcome, waived }) => [requirement, outcome, waived]),
      ]),
    },
  ];
}

function groupBy<T>(items: readonly T[], keyOf: (item: T) => string): T[][] {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const key = keyOf(item);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [item]);
    else group.push(item);
  }
  return [...groups.values()];
}
