import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import type { PlacedName, RequirementName, RequirementSet } from '../../jobs/requirements/requirement.js';
import type { Rulings } from './ruling.js';

/** What a file is held against besides its target. */
export interface JudgeContext {
  /** The clip a copy was made from: measured, or only as its headers tell. */
  readonly original?: Measurement | ClipFacts | undefined;
  /** How its sound was made of the original's; absent where that is not known, null where it has none. */
  readonly sound?: OutputRecipe['audio'] | undefined;
}

/** All a rule is told beside limits and measurement. */
export interface RuleContext extends JudgeContext {
  readonly parts: Parts;
  /** The target states how long the file must be: `frame-count` or `duration` then judges that. */
  readonly lengthIsStated: boolean;
}

/** Limits of one requirement, as a target sets them. */
export type Limits<N extends RequirementName> = NonNullable<RequirementSet[N]>;

/** The parts of the programme that are judged, in order and apart; null: all of it. */
export type Parts = readonly FrameRange[] | null;

/** How a measurement stands to some limits. Pure. */
export type Rule<L> = (limits: L, measurement: Measurement, context: RuleContext) => Rulings;

/** A sentence, or one that depends on the limits and, rarely, on the file. */
type Words<L> = string | ((limits: L, measurement: Measurement) => string);

/** What defines a requirement beside its limits, which stand in jobs/requirements. */
interface Definition<L> {
  /** A thing that can be right or wrong, never a claim that reads as met beside "fail". */
  readonly title: string;
  /** Why anybody asks for it, one sentence. */
  readonly why: string;
  /** What to do where it is not met, one sentence, unless the rule knows better. */
  readonly advice: Words<L>;
  readonly expected: Words<L>;
  /** Asked with `parts` null: of the whole programme. */
  readonly rule: Rule<L>;
  /**
   * How parts of the programme are judged where a target limits it to regions. `rule`: by its rule, which
   * heeds `parts`. It is asked only where the whole misses: whatever holds for the whole must hold for its
   * parts.
   */
  readonly within?: 'rule' | Rule<L>;
  /** Set where its places are of headers or time, so that no still of them shows anything. */
  readonly seen?: false;
}

/** Everything about one requirement but its limits. */
export interface Requirement<N extends RequirementName> extends Definition<Limits<N>> {
  readonly name: N;
}

/** `within` is asked for wherever the limits have `regions`, and nowhere else. */
type Placed<N extends RequirementName> = N extends PlacedName
  ? { readonly within: unknown }
  : { readonly within?: undefined };

/**
 * Defines the requirement of this name: the file it stands in has the same name, in the folder of its
 * subject.
 */
export function defineRequirement<N extends RequirementName>(
  name: N,
  definition: Definition<Limits<N>> & Placed<N>,
): Requirement<N> {
  return { name, ...definition };
}
