import { type RequirementSet, requirementSet } from '../requirements/requirement.js';

/** What `compare` asks of a copy: the requirements that hold a copy against its original, at their least. */
export const COPY_REQUIRES: RequirementSet = requirementSet.parse({
  // Length, offset and content of the sound are those of same-sound.
  'as-original': { sound: false },
  'same-frames': {},
  'same-sound': {},
  precision: { minBits: 1 },
});
