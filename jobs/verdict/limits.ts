import { REQUIREMENT_NAMES, type RequirementSet, requirementSet } from '../requirements/requirement.js';
import type { Finding, Verdict } from './verdict.js';

/**
 * What a verdict held its file to, by requirement: the limits of its findings, where they are those of this
 * version.
 */
export function limitsIn({ findings }: Pick<Verdict, 'findings'>): RequirementSet {
  const held = findings.flatMap(({ requirement, limits }) => {
    const name = REQUIREMENT_NAMES.find((known) => known === requirement);
    return name !== undefined && requirementSet.shape[name].safeParse(limits).success ? [[name, limits]] : [];
  });
  return requirementSet.parse(Object.fromEntries(held));
}

/** The same of one finding. */
export function limitsOf(finding: Finding): RequirementSet {
  return limitsIn({ findings: [finding] });
}
