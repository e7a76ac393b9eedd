import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { nits, percent } from '../../../jobs/words/quantities.js';
import { highestAllowedNits, peakLimitCode } from '../../../signal/peak-limit.js';
import { judgeParts, type LargestFigure, missedSomewhere } from '../curve-places.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { met } from '../ruling.js';
import { forDisplay, type Luminance, onLuminance } from './luminance.js';

export const requirement = defineRequirement('peak-luminance', {
  title: 'Peak luminance',
  why: 'Displays clip or remap light above the limit, in a way nobody saw in the grade.',
  expected: ({ max, tolerance = 0 }, measurement) => {
    const depth = depthOf(measurement);
    const more = tolerance === 0 ? '' : ` and ${percent(tolerance)} more`;
    const code = peakLimitCode(max, depth);
    return `max(R,G,B) at most ${nits(max)}${more} (PQ code ${code} at ${depth} bits)`;
  },
  advice: 'Bring the highlights down in the grade.',
  rule: onLuminance('luminance.maxCll', (limits, luminance, measurement) => {
    const figure = peakFigure(limits, measurement);
    const measured = peakMeasured(luminance);
    return luminance.maxCll <= figure.limit ? met(measured) : missedSomewhere(measurement, measured, figure);
  }),
  within: onLuminance('luminance.maxCll', (limits, luminance, measurement, { parts }) => {
    const measured = `${peakMeasured(luminance)} (whole file)`;
    return judgeParts(measurement, measured, peakFigure(limits, measurement), parts ?? []);
  }),
});

function depthOf({ video }: Measurement): number {
  return video?.bitDepth.declared ?? 10;
}

/** The limit rounded to the nearest code of the depth, plus the tolerance of the target. */
function peakFigure(
  { max, tolerance = 0 }: Limits<'peak-luminance'>,
  measurement: Measurement,
): LargestFigure {
  const { picture } = measurement.curves;
  return {
    limit: highestAllowedNits(max, depthOf(measurement), tolerance),
    curve: picture?.light ? { points: picture.light.max, framesPerPoint: picture.framesPerPoint } : null,
    worstFrame: measurement.luminance?.maxCllFrame ?? null,
  };
}

function peakMeasured(luminance: Luminance): string {
  const { maxCll, maxCllFrame, p9999 } = luminance;
  return `${nits(maxCll)} in frame ${maxCllFrame}, 99.99 % below ${nits(p9999)}${forDisplay(luminance)}`;
}
