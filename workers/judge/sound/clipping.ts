import { count } from '../../../jobs/words/numbers.js';
import type { SampleRun } from '../../measure/sound/longest-runs.js';
import { onEachContent } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { inside, placeOf } from './runs-of-sound.js';

export const requirement = defineRequirement('clipping', {
  title: 'Clipped sound',
  why: 'Clipped peaks distort, and lowering the level later does not help.',
  expected: ({ maxRuns }) => `at most ${count(maxRuns, 'run')} of 3 or more full-scale samples`,
  advice:
    'Listen there, quietly at first: if it distorts, lower the level before the limiter and make the mix again.',
  rule: onEachContent(({ maxRuns }, { channels }, { measurement, stream, parts }) => {
    const within: SampleRun[] = [];
    let runs = 0;
    let othersPossible = false;
    for (const { clipping } of channels) {
      let seen = 0;
      for (const place of clipping.places) {
        seen += place.runs;
        const [piece] = inside(measurement, stream, place, parts);
        if (piece === undefined) continue;
        if (piece.from === place.from && piece.to === place.to) {
          within.push(place);
          runs += place.runs;
          // A place that crosses the edge of a part may have runs on both sides.
        } else othersPossible = true;
      }
      if (seen < clipping.runs) othersPossible = true;
    }
    if (parts === null) runs = channels.reduce((sum, { clipping }) => sum + clipping.runs, 0);
    if (runs > maxRuns) {
      const longest = Math.max(...channels.map(({ clipping }) => clipping.longest));
      const measured = `${count(runs, 'run')}, the longest ${count(longest, 'sample')}`;
      const at = within.map((place) => placeOf(measurement, stream, place));
      return othersPossible ? missed(measured, { at }) : missedOnlyAt(at, measured);
    }
    if (parts !== null && othersPossible) return unmeasured('not every place in these parts is known');
    return met(runs === 0 ? 'none' : count(runs, 'run'));
  }),
  within: 'rule',
});
