import { defineRequirement } from '../requirement.js';
import { loudestWindow, loudestWords, TAKE_LOUDEST_DOWN } from './programme-loudness.js';

const WINDOW_SECONDS = 3;

export const requirement = defineRequirement('max-short-term', {
  title: 'Maximum short-term loudness',
  why: 'A short programme can meet its loudness target and still have passages that are too loud; the local rules of the broadcaster decide.',
  expected: (limits) => loudestWords('short-term', WINDOW_SECONDS, limits),
  advice: TAKE_LOUDEST_DOWN,
  rule: loudestWindow(WINDOW_SECONDS, 'maxShortTermLufs'),
});
