import {
  PLACED_NAMES,
  REQUIREMENT_NAMES,
  type RequirementName,
  requirementSet,
  type Subject,
  subjectOf,
} from '../../jobs/requirements/requirement.js';
import { REQUIREMENTS } from './requirements.js';

/** A limit a target may set, as its schema explains it. */
export interface LimitEntry {
  readonly name: string;
  /** Whether a target must set it. */
  readonly required: boolean;
  readonly words: string;
}

/** A requirement as it is documented. */
export interface RequirementEntry {
  readonly name: RequirementName;
  readonly subject: Subject;
  readonly title: string;
  /** What it demands, in sentences. */
  readonly demands: string;
  readonly why: string;
  /** What to do where it is not met; null where that depends on the limits. */
  readonly advice: string | null;
  readonly limits: readonly LimitEntry[];
  /** Whether a target may limit it to regions of the programme. */
  readonly regions: boolean;
}

export interface RequirementTable {
  /** Settings of every requirement, besides its own limits. */
  readonly common: readonly LimitEntry[];
  /** Settings of requirements that can be limited to regions. */
  readonly placed: readonly LimitEntry[];
  readonly requirements: readonly RequirementEntry[];
}

const PLACED = ['regions', 'joinGaps'];
const COMMON = ['severity', 'source'];

/** All requirements a target can make, with their limits and reasons, in the order of a verdict. */
export function requirementTable(): RequirementTable {
  const entries = REQUIREMENT_NAMES.map(entryOf);
  const [placed] = PLACED_NAMES;
  if (placed === undefined) throw new Error('no requirement can be limited to regions');
  const shared = limitsOf(placed);
  return {
    common: shared.filter(({ name }) => COMMON.includes(name)),
    placed: shared.filter(({ name }) => PLACED.includes(name)),
    requirements: entries,
  };
}

function entryOf(name: RequirementName): RequirementEntry {
  const { title, why, advice } = REQUIREMENTS[name];
  return {
    name,
    subject: subjectOf(name),
    title,
    demands: requirementSet.shape[name].description ?? '',
    why,
    advice: typeof advice === 'string' ? advice : null,
    limits: limitsOf(name).filter((limit) => !COMMON.includes(limit.name) && !PLACED.includes(limit.name)),
    regions: PLACED_NAMES.includes(name),
  };
}

function limitsOf(requirement: RequirementName): LimitEntry[] {
  return Object.entries(requirementSet.shape[requirement].unwrap().shape).map(([name, schema]) => ({
    name,
    required: !schema.safeParse(undefined).success,
    words: schema.description ?? '',
  }));
}
