import { z } from 'zod';
import { field } from '../documents/field.js';
import { requiredColour } from './required-colour.js';
import { requiredContainer } from './required-container.js';
import { requiredFormat } from './required-format.js';
import { requiredPicture } from './required-picture.js';
import { requiredSound } from './required-sound.js';
import { requirement } from './requirement-form.js';

/**
 * The requirements a target can make, each by its trade name, in the order reports show them. The key in a target's
 * `require` is the name a finding carries.
 */
export const requirementSet = z.strictObject({
  ...requiredFormat,
  ...requiredColour,
  ...requiredPicture,
  ...requiredSound,
  ...requiredContainer,
  'as-original': requirement(
    'The copy holds what the original of the same job held, and the original is whole.',
    {
      frames: field(
        'Whether it must have as many frames, or as long a picture where the rate was changed: `true` where ' +
          'left out.',
        z.boolean().default(true),
      ),
      timecode: field(
        'Whether it must have the same start timecode: `true` where left out.',
        z.boolean().default(true),
      ),
      sound: field(
        "`true`: there is sound, as long as the original's, where that has some. `all`: every stream " +
          'and channel too. `false`: not asked for; `true` where left out.',
        z.union([z.boolean(), z.literal('all')]).default(true),
      ),
      bitDepth: field(
        'Whether it must use no fewer bits than the original really uses: for targets that promise ' +
          'to lose nothing.',
        z.boolean().default(false),
      ),
    },
  ),
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
