import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import type { PlacedName, RequirementName, RequirementSet } from '../../jobs/requirements/requirement.js';
import type { Rulings } from './ruling.js';

/** What a file is compared with besides its target. */
export interface JudgeContext {
  /** The clip a copy was made from: its measurement, or only the facts its headers declare. */
  readonly original?: Measurement | ClipFacts | undefined;
  /**
   * How its sound was mixed from the original's; absent where that is not known, null where the copy has no
   * sound.
   */
  readonly sound?: OutputRecipe['audio'] | undefined;
}

/** What a rule gets besides limits and measurement. */
export interface RuleContext extends JudgeContext {
  readonly parts: Parts;
  /** The target sets the length of the file: `frame-count` or `duration` then judges it. */
  readonly lengthIsStated: boolean;
}

/** Limits of one requirement, as a target sets them. */
export type Limits<N extends RequirementName> = NonNullable<RequirementSet[N]>;

/** The judged parts of the programme, in order, without overlaps; null: all of it. */
export type Parts = readonly FrameRange[] | null;

/** How a measurement stands to some limits. Pure. */
export type Rule<L> = (limits: L, measurement: Measurement, context: RuleContext) => Rulings;

/** A sentence, or one that depends on the limits and, rarely, on the file. */
type Words<L> = string | ((limits: L, measurement: Measurement) => string);

/** What defines a requirement besides its limits, which are in jobs/requirements. */
interface Definition<L> {
  /** Names a property that can be right or wrong; no claim, which would read as met beside "fail". */
  readonly title: string;
  /** Why it matters, one sentence. */
  readonly why: string;
  /** What to do where it is not met, one sentence; a rule may give a more precise one. */
  readonly advice: Words<L>;
  readonly expected: Words<L>;
  /** Called with `parts` null it judges the whole programme. */
  readonly rule: Rule<L>;
  /**
   * How parts of the programme are judged where a target limits it to regions. `rule`: by its rule, which
   * then uses `parts`. Called only where the whole misses: what holds for the whole must hold for its parts.
   */
  readonly within?: 'rule' | Rule<L>;
  /** Set to false where a still of the place shows nothing, because the fault is in headers or timing. */
  readonly seen?: false;
}

/** Everything about one requirement except its limits. */
export interface Requirement<N extends RequirementName> extends Definition<Limits<N>> {
  readonly name: N;
}

/** `within` is required where the limits have `regions`, and not allowed elsewhere. */
type Placed<N extends RequirementName> = N extends PlacedName
  ? { readonly within: unknown }
  : { readonly within?: undefined };

/**
 * Defines the requirement of this name, in a file of the same name in the folder of its subject.
 */
export function defineRequirement<N extends RequirementName>(
  name: N,
  definition: Definition<Limits<N>> & Placed<N>,
): Requirement<N> {
  return { name, ...definition };
}
