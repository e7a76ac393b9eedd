import { nits, percent } from '../../../jobs/words/quantities.js';
import { PQ_PEAK_NITS } from '../../../signal/transfer/pq.js';
import { defineRequirement } from '../requirement.js';
import { metIf, missed } from '../ruling.js';
import { forDisplay, onLuminance } from './luminance.js';

/** CTA-861.3: levels differing by less are the same, since metadata carries whole cd/m2. */
const LEAST_TOLERANCE_NITS = 1;

export const requirement = defineRequirement('light-level', {
  title: 'Declared MaxCLL and MaxFALL',
  why: 'Displays set their tone mapping by these figures; wrong ones dim or clip the picture.',
  expected: ({ tolerance }) =>
    `MaxCLL and MaxFALL declared, and within ${percent(tolerance)} or 1 cd/m² of what is measured, CTA-861.3`,
  advice: 'Write the measured MaxCLL and MaxFALL into the file.',
  rule: (limits, measurement, context) => {
    const { lightLevel } = measurement.hdr;
    if (lightLevel === null) return missed('not declared');
    const { maxCll, maxFall } = lightLevel;
    if (maxCll === 0 || maxFall === 0) return missed(`MaxCLL ${maxCll}, MaxFALL ${maxFall}: 0 means unknown`);
    return onLuminance<typeof limits>('luminance', ({ tolerance }, luminance) => {
      const near = (declared: number, found: number): boolean =>
        Math.abs(declared - found) <= Math.max(tolerance * found, LEAST_TOLERANCE_NITS) + 1e-9;
      const inOrder = maxFall <= maxCll && maxCll <= PQ_PEAK_NITS;
      const measured =
        `MaxCLL ${maxCll} declared, ${nits(luminance.maxCll)} measured; ` +
        `MaxFALL ${maxFall} declared, ${nits(luminance.maxFall)} measured${forDisplay(luminance)}`;
      return metIf(inOrder && near(maxCll, luminance.maxCll) && near(maxFall, luminance.maxFall), measured);
    })(limits, measurement, context);
  },
});
