import { percent } from '../../../jobs/words/quantities.js';
import { judgeParts } from '../curve-places.js';
import { reasonFor } from '../doubt.js';
import { framesAt } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';
import { onLuminance } from './luminance.js';

export const requirement = defineRequirement('outside-p3', {
  title: 'Colours outside P3-D65',
  why: 'Few displays show colours outside P3, those of the grade included: nobody has seen them there.',
  expected: ({ maxArea }) => `at most ${percent(maxArea)} of the picture outside P3-D65`,
  advice: 'Bring the colours inside P3-D65 in the grade.',
  rule: onLuminance('luminance.outsideP3', ({ maxArea }, { outsideP3 }, measurement) => {
    if (outsideP3 === null) {
      const reason = reasonFor(measurement, 'area outside P3-D65', 'luminance.outsideP3');
      return unmeasured(reason, 'Measure a file with BT.2020 primaries.');
    }
    const { worstFrame, worstArea } = outsideP3;
    const measured = `${percent(worstArea)}${worstFrame === null ? '' : `, worst in frame ${worstFrame}`}`;
    if (worstArea <= maxArea) return met(measured);
    return missed(measured, {
      at: worstFrame === null ? [] : [framesAt(measurement, worstFrame, worstFrame + 1)],
    });
  }),
  within: ({ maxArea }, measurement, { parts }) => {
    const outside = measurement.luminance?.outsideP3 ?? null;
    const measured = outside === null ? 'not known' : percent(outside.worstArea);
    const figure = { limit: maxArea, curve: null, worstFrame: outside?.worstFrame ?? null };
    return judgeParts(measurement, measured, figure, parts ?? []);
  },
});
