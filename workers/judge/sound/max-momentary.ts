import { defineRequirement } from '../requirement.js';
import {
  GATING_BLOCK_SECONDS,
  loudestWindow,
  loudestWords,
  TAKE_LOUDEST_DOWN,
} from './programme-loudness.js';

export const requirement = defineRequirement('max-momentary', {
  title: 'Maximum momentary loudness',
  why: 'A short programme can meet its loudness target and still have passages that are too loud; the local rules of the broadcaster decide.',
  expected: (limits) => loudestWords('momentary', GATING_BLOCK_SECONDS, limits),
  advice: TAKE_LOUDEST_DOWN,
  rule: loudestWindow(GATING_BLOCK_SECONDS, 'maxMomentaryLufs'),
});
