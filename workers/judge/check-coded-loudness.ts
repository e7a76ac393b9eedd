import { loudnessObstacle } from './check-sound.js';
import { doubtAbout } from './doubt.js';
import { onEachStream } from './each-stream.js';
import { count, lufs } from './figures.js';
import { type Check, hold, missed, unmeasured } from './ruling.js';

/** Rounding of doubles; far below anything a meter shows. */
const ROUNDING_LU = 1e-9;

/** A stream has one level for its whole programme: one that changes under way cannot be true of it. */
export const codedLoudness: Check<'coded-loudness'> = ({ tolerance }, measurement) => {
  const expected = `programme loudness (ITU-R BS.1770-5) within ${tolerance} LU of the level the sound states of itself`;
  return onEachStream(measurement, expected, (stream, index) => {
    const advice = 'Encode the sound again with its measured loudness as dialogue level (dialnorm).';
    const { codedLoudness: stated, integratedLufs } = stream;
    if (stated === null) {
      const reason =
        doubtAbout(measurement, `audio[${index}].codedLoudness`) ??
        `no metadata: no loudness that is read here stands in ${stream.codec} sound`;
      return unmeasured(expected, reason, 'Drop this requirement for sound that states no loudness.');
    }
    if (stated.reservedFrames > 0) {
      const frames = count(stated.reservedFrames, 'frame');
      return missed(expected, `no dialogue level in ${frames} (dialnorm 0, which is reserved)`, advice);
    }
    const [only, ...others] = stated.levels;
    if (only === undefined || others.length > 0) {
      const levels = stated.levels.map(({ level, frames }) => `${level} dB in ${count(frames, 'frame')}`);
      return missed(expected, `the dialogue level changes: ${levels.join(', ')}`, advice);
    }
    const obstacle = loudnessObstacle(measurement, stream, index, expected, advice);
    if (obstacle !== null) return obstacle;
    if (integratedLufs === null) {
      const reason = `${only.level} dB stated, and no sound above the gate to hold it against`;
      return unmeasured(expected, reason, 'Check that the right sound is in the file.');
    }
    const apart = Math.abs(integratedLufs - only.level);
    const measured = `${lufs(integratedLufs)} measured, ${only.level} dB stated (dialnorm), ${apart.toFixed(2)} LU apart`;
    return hold(apart <= tolerance + ROUNDING_LU, expected, measured, advice);
  });
};
