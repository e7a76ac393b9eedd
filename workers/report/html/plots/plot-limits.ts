import type { RequirementSet } from '../../../../jobs/requirements/requirement.js';
import { limitsIn } from '../../../../jobs/verdict/limits.js';
import type { Verdict } from '../../../../jobs/verdict/verdict.js';
import { BAR, INK, SOFT } from './svg.js';

/** What one target asked of the file, for the limits in the plots. */
export interface Asked {
  readonly target: string;
  readonly require: RequirementSet;
}

/** What verdicts held a file to, each by its target. */
export function askedBy(judged: readonly { readonly verdict: Verdict | null }[]): Asked[] {
  return judged.flatMap(({ verdict }) =>
    verdict === null ? [] : [{ target: verdict.target, require: limitsIn(verdict) }],
  );
}

export interface DrawnLimit {
  readonly at: number;
  /** Those that set it. */
  readonly targets: string;
  /** Holds for parts of the programme only. */
  readonly inParts: boolean;
}

/** The limits of all targets, each figure once, with the names of those that set it. */
export function limitsOf(
  asked: readonly Asked[],
  of: (require: RequirementSet) => { readonly at: number; readonly inParts?: boolean } | undefined,
): DrawnLimit[] {
  const limits: DrawnLimit[] = [];
  for (const { target, require } of asked) {
    const limit = of(require);
    if (limit === undefined) continue;
    const { at, inParts = false } = limit;
    const name = inParts ? `${target}, in parts` : target;
    const same = limits.findIndex((other) => other.at === at);
    const before = limits[same];
    if (before === undefined) limits.push({ at, targets: name, inParts });
    else limits[same] = { at, targets: `${before.targets}; ${name}`, inParts: before.inParts && inParts };
  }
  return limits;
}

/** The lowest limit that holds everywhere: what lies above it is forbidden ground. */
export function forbiddenFrom(limits: readonly DrawnLimit[]): number | null {
  const everywhere = limits.filter(({ inParts }) => !inParts).map(({ at }) => at);
  return everywhere.length === 0 ? null : Math.min(...everywhere);
}

/** Curves of one plot are told apart by width and dash, colour or no colour. */
export const STROKES = {
  first: { colour: BAR, width: 2.5 },
  second: { colour: INK, width: 1, dash: [4, 7] },
  lower: { colour: INK, width: 1.5, dash: [6, 3] },
  third: { colour: SOFT, width: 1.5, dash: [1.5, 2.5] },
} as const;
