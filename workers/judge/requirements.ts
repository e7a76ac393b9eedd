import type { RequirementName } from '../../jobs/requirements/requirement.js';
import { asOriginal } from './check-original.js';
import { judgedColour } from './judged-colour.js';
import { judgedContainer } from './judged-container.js';
import { judgedFormat } from './judged-format.js';
import { judgedPicture } from './judged-picture.js';
import { judgedSound } from './judged-sound.js';
import type { JudgedRequirement, JudgedRequirements } from './ruling.js';

/**
 * Every requirement a target can make: the compiler refuses a name without its check, and one that can be limited to
 * parts of a programme without the check of those.
 */
export const REQUIREMENTS: { readonly [N in RequirementName]: JudgedRequirement<N> } = {
  ...judgedFormat,
  ...judgedColour,
  ...judgedPicture,
  ...judgedSound,
  ...judgedContainer,
  'as-original': {
    check: asOriginal,
    why: 'A copy that is not frame for frame its original cannot be exchanged for it.',
  },
} satisfies JudgedRequirements<RequirementName>;
