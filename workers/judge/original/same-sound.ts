import type { SoundComparison } from '../../../jobs/measurement/measured-comparison.js';
import { inStepText, wrongSoundText } from '../../compare/words.js';
import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, type Ruling, unmeasured } from '../ruling.js';

const WITH_ITS_ORIGINAL = 'Check the copy together with its original.';

export const requirement = defineRequirement('same-sound', {
  title: 'Sound of the original',
  why: 'Sound that is late by a sample, muted for a moment or on another channel is found in the mix, if at all.',
  expected: 'each stream the sound of the original, in step to the sample',
  advice: 'Make the copy again from its original.',
  rule: (_, measurement, { original, sound }) => {
    if (measurement.audio.length === 0 && original?.audio.length === 0 && sound?.laid === undefined)
      return met('no sound, as the original');
    const isWithout = measurement.audio.length === 0 && sound !== null && original !== undefined;
    if (isWithout) return missed('no sound, the original has some');
    const { soundComparison } = measurement;
    const doubt = doubtAbout(measurement, 'soundComparison');
    if (soundComparison === null) {
      const reason = original === undefined ? 'no original to compare it with' : 'its sound was not compared';
      return unmeasured(doubt ?? reason, WITH_ITS_ORIGINAL);
    }
    const rulings: Ruling[] = soundComparison.filter(isWrong).map((found) => missed(wrongSoundText(found)));
    if (doubt !== null) rulings.push(unmeasured(doubt, 'Listen to the copy beside its original.'));
    return rulings.length > 0 ? rulings : met(inStepText(soundComparison));
  },
});

function isWrong({ mistakes }: SoundComparison): boolean {
  return mistakes.length > 0;
}
