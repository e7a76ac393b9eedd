import { requirementOf } from './requirements.js';
import { WAIVER_FINDING } from './waive.js';

const WAIVER_TITLE = 'Waivers that do not hold';

/**
 * What a finding is called in running text; one of a requirement this version does not know is called by its
 * key.
 */
export function requirementTitle(key: string): string {
  if (key === WAIVER_FINDING) return WAIVER_TITLE;
  return requirementOf(key)?.title ?? key;
}
