import { count } from '../../../jobs/words/numbers.js';
import { onSection } from '../on-picture.js';
import { inParts } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { unmeasured } from '../ruling.js';
import { rulePlaces } from './listed-places.js';
import { TEMPORAL } from './temporal.js';

export const requirement = defineRequirement('blank-edges', {
  title: 'Blank lines at the edges',
  why: 'Black lines at an edge are visible on displays without overscan, and move when shots change.',
  expected: ({ maxLines }) =>
    `${maxLines === 0 ? 'no black line' : `at most ${count(maxLines, 'black line')}`} at an edge of the picture`,
  advice: 'Scale or reframe the shot so that it fills the raster.',
  rule: onSection('temporal', TEMPORAL, ({ maxLines }, temporal, measurement, { parts }) => {
    const { blankEdge, activePicture } = temporal;
    if (activePicture.area === null) return unmeasured('the whole picture is too dark to find its edges');
    const wide = blankEdge.ranges.filter(({ lines }) => lines > maxLines);
    const bad = inParts(measurement, wide, parts);
    const sides = [...new Set(bad.map(({ side }) => side))].map((side) => {
      const lines = Math.max(...bad.filter((edge) => edge.side === side).map((edge) => edge.lines));
      return `${side} ${lines}`;
    });
    return rulePlaces(bad, blankEdge, {
      what: 'place',
      none: blankEdge.places === 0 ? 'none' : 'none wider than the limit',
      detail: `widest in lines: ${sides.join(', ')}`,
    });
  }),
  within: 'rule',
});
