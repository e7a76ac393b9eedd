import { REQUIREMENT_NAMES, type RequirementSet, requirementSet } from '../requirements/requirement.js';
import type { Finding, Verdict } from './verdict.js';

/**
 * The limits of the findings of a verdict, by requirement, where they are valid in this version.
 */
export function limitsIn({ findings }: Pick<Verdict, 'findings'>): RequirementSet {
  const limits = findings.flatMap(({ requirement, limits }) => {
    const name = REQUIREMENT_NAMES.find((known) => known === requirement);
    return name !== undefined && requirementSet.shape[name].safeParse(limits).success ? [[name, limits]] : [];
  });
  return requirementSet.parse(Object.fromEntries(limits));
}

/** The same of one finding. */
export function limitsOf(finding: Finding): RequirementSet {
  return limitsIn({ findings: [finding] });
}
