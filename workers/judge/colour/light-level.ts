import { nits, percent } from '../../../jobs/words/quantities.js';
import { PQ_PEAK_NITS } from '../../../signal/transfer/pq.js';
import { defineRequirement } from '../requirement.js';
import { hold, missed } from '../ruling.js';
import { forDisplay, onLuminance } from './luminance.js';

/** CTA-861.3: levels differing by less are the same, since metadata carries whole cd/m2. */
const LEAST_TOLERANCE_NITS = 1;

export const requirement = defineRequirement('light-level', {
  title: 'MaxCLL and MaxFALL as stated',
  why: 'Displays set their tone mapping by these figures; untrue ones dim or clip the picture.',
  expected: ({ tolerance }) =>
    `MaxCLL and MaxFALL stated, true within ${percent(tolerance)} or 1 cd/m², CTA-861.3`,
  advice: 'Write the measured MaxCLL and MaxFALL into the file.',
  rule: (limits, measurement, context) => {
    const { lightLevel } = measurement.hdr;
    if (lightLevel === null) return missed('not stated');
    const { maxCll, maxFall } = lightLevel;
    if (maxCll === 0 || maxFall === 0) return missed(`MaxCLL ${maxCll}, MaxFALL ${maxFall}: 0 means unknown`);
    return onLuminance<typeof limits>('luminance', ({ tolerance }, luminance) => {
      const near = (said: number, is: number): boolean =>
        Math.abs(said - is) <= Math.max(tolerance * is, LEAST_TOLERANCE_NITS) + 1e-9;
      const inOrder = maxFall <= maxCll && maxCll <= PQ_PEAK_NITS;
      const measured =
        `MaxCLL ${maxCll} stated, ${nits(luminance.maxCll)} measured; ` +
        `MaxFALL ${maxFall} stated, ${nits(luminance.maxFall)} measured${forDisplay(luminance)}`;
      return hold(inOrder && near(maxCll, luminance.maxCll) && near(maxFall, luminance.maxFall), measured);
    })(limits, measurement, context);
  },
});
