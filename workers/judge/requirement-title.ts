import { requirementOf } from './requirements.js';
import { WAIVER_FINDING } from './waive.js';

const WAIVER_TITLE = 'Waivers that do not apply';

/**
 * Title of a finding in text; its key where this version does not know the requirement.
 */
export function requirementTitle(key: string): string {
  if (key === WAIVER_FINDING) return WAIVER_TITLE;
  return requirementOf(key)?.title ?? key;
}
