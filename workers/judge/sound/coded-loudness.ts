import { count } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { doubtAbout } from '../doubt.js';
import { onEachStream } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { metIf, missed, unmeasured } from '../ruling.js';
import { loudnessObstacle, ROUNDING_DB } from './programme-loudness.js';

/** A stream has one level for its whole programme: one that changes cannot be right. */
export const requirement = defineRequirement('coded-loudness', {
  title: 'Loudness declared in the coded sound',
  why: 'Receivers turn the sound up or down by the declared level; the local rules of the broadcaster decide.',
  expected: ({ tolerance }) =>
    `programme loudness (ITU-R BS.1770-5) within ${tolerance} LU of the level declared in the sound`,
  advice: 'Encode the sound again with its measured loudness as dialogue level (dialnorm).',
  rule: onEachStream(({ tolerance }, one) => {
    const { codedLoudness: stated, codec, integratedLufs } = one.stream;
    if (stated === null) {
      const reason =
        doubtAbout(one.measurement, `audio[${one.index}].codedLoudness`) ??
        `no metadata: ${codec} sound declares no loudness that is read here`;
      return unmeasured(
        reason,
        'Remove this requirement from the target for sound that declares no loudness.',
      );
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
      const reason = `${only.level} dB declared, and no sound above the gate to compare it with`;
      return unmeasured(reason, 'Check that the right sound is in the file.');
    }
    const apart = Math.abs(integratedLufs - only.level);
    const measured = `${quantity(integratedLufs, 'LUFS')} measured, ${only.level} dB declared (dialnorm), ${quantity(apart, 'LU')} apart`;
    return metIf(apart <= tolerance + ROUNDING_DB, measured);
  }),
});
