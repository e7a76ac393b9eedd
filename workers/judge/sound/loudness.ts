import { quantity } from '../../../jobs/words/quantities.js';
import { onEachStream } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { metIf, missed, unmeasured } from '../ruling.js';
import { GATING_BLOCK_SECONDS, loudnessObstacle, ROUNDING_DB } from './programme-loudness.js';

export const requirement = defineRequirement('loudness', {
  title: 'Programme loudness',
  why: 'A programme at another loudness is turned up or down on air; the local rules of the broadcaster decide.',
  expected: ({ target, tolerance }) => `${target} LUFS within ${tolerance} LU, integrated, ITU-R BS.1770-5`,
  advice: 'Normalise the programme to the target after the mix, and measure again.',
  rule: onEachStream(({ target, tolerance }, one) => {
    const obstacle = loudnessObstacle(one);
    if (obstacle !== null) return obstacle;
    const { integratedLufs, durationSeconds } = one.stream;
    if (integratedLufs === null) {
      return durationSeconds < GATING_BLOCK_SECONDS
        ? unmeasured('shorter than one block of 400 ms')
        : missed('silence: nothing above the gate at -70 LUFS', {
            advice: 'Check that the right sound is in the file.',
          });
    }
    const off = Math.abs(integratedLufs - target);
    return metIf(off <= tolerance + ROUNDING_DB, quantity(integratedLufs, 'LUFS'));
  }),
});
