import { count } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { doubtAbout } from '../doubt.js';
import { onEachStream } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { hold, missed, unmeasured } from '../ruling.js';
import { loudnessObstacle, ROUNDING_DB } from './programme-loudness.js';

/** A stream has one level for its whole programme: one that changes under way cannot be true of it. */
export const requirement = defineRequirement('coded-loudness', {
  title: 'Loudness as the coded sound states it',
  why: 'Receivers turn the sound up or down by the level it states; the local rules of the broadcaster decide.',
  expected: ({ tolerance }) =>
    `programme loudness (ITU-R BS.1770-5) within ${tolerance} LU of the level the sound states of itself`,
  advice: 'Encode the sound again with its measured loudness as dialogue level (dialnorm).',
  rule: onEachStream(({ tolerance }, one) => {
    const { codedLoudness: stated, codec, integratedLufs } = one.stream;
    if (stated === null) {
      const reason =
        doubtAbout(one.measurement, `audio[${one.index}].codedLoudness`) ??
        `no metadata: no loudness that is read here stands in ${codec} sound`;
      return unmeasured(reason, 'Drop this requirement for sound that states no loudness.');
    }
    if (stated.reservedFrames > 0) {
      const frames = count(stated.reservedFrames, 'frame');
      return missed(`no dialogue level in ${frames} (dialnorm 0, which is reserved)`);
    }
    const [only, ...others] = stated.levels;
    if (only === undefined || others.length > 0) {
      const levels = stated.levels.map(({ level, frames }) => `${level} dB in ${count(frames, 'frame')}`);
      return missed(`the dialogue level changes: ${levels.join(', ')}`);
    }
    const obstacle = loudnessObstacle(one);
    if (obstacle !== null) return obstacle;
    if (integratedLufs === null) {
      const reason = `${only.level} dB stated, and no sound above the gate to hold it against`;
      return unmeasured(reason, 'Check that the right sound is in the file.');
    }
    const apart = Math.abs(integratedLufs - only.level);
    const measured = `${quantity(integratedLufs, 'LUFS')} measured, ${only.level} dB stated (dialnorm), ${quantity(apart, 'LU')} apart`;
    return hold(apart <= tolerance + ROUNDING_DB, measured);
  }),
});
