import { z } from 'zod';
import { requiredColour } from './required-colour.js';
import { requiredContainer } from './required-container.js';
import { requiredFormat } from './required-format.js';
import { requiredOriginal } from './required-original.js';
import { requiredPicture } from './required-picture.js';
import { requiredSound } from './required-sound.js';

/** The limits of every requirement, by subject. This is the only list of requirements. */
const SUBJECTS = {
  format: requiredFormat,
  colour: requiredColour,
  picture: requiredPicture,
  sound: requiredSound,
  container: requiredContainer,
  original: requiredOriginal,
};
export type Subject = keyof typeof SUBJECTS;
export const SUBJECT_NAMES = Object.keys(SUBJECTS) as Subject[];

/**
 * The requirements a target can make, in the order of reports. The key in `require` of a target is the name
 * of the finding.
 */
export const requirementSet = z.strictObject({
  ...SUBJECTS.format,
  ...SUBJECTS.colour,
  ...SUBJECTS.picture,
  ...SUBJECTS.sound,
  ...SUBJECTS.container,
  ...SUBJECTS.original,
});
export type RequirementSet = z.infer<typeof requirementSet>;
export type RequirementName = keyof RequirementSet;
export const REQUIREMENT_NAMES = Object.keys(requirementSet.shape) as RequirementName[];

/** Requirements that can be limited to regions. */
export type PlacedName = {
  [N in RequirementName]: 'regions' extends keyof NonNullable<RequirementSet[N]> ? N : never;
}[RequirementName];
export const PLACED_NAMES: readonly RequirementName[] = REQUIREMENT_NAMES.filter(
  (name) => 'regions' in requirementSet.shape[name].unwrap().shape,
);

/** The subject a requirement belongs to, which is the folder of its definition too. */
export function subjectOf(name: RequirementName): Subject {
  const found = SUBJECT_NAMES.find((subject) => Object.hasOwn(SUBJECTS[subject], name));
  if (found === undefined) throw new Error(`the requirement ${name} belongs to no subject`);
  return found;
}
