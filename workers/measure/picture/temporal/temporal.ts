import type { MeasuredTemporal } from '../../../../jobs/measurement/measured-temporal.js';
import { withColumns } from '../recording/growing-columns.js';
import type { PictureStudy } from '../recording/picture-study.js';
import { TEMPORAL_COLUMNS } from './temporal-columns.js';
import { temporalEvents } from './temporal-events.js';
import { temporalFigures } from './temporal-figures.js';
import { TemporalStudy } from './temporal-study.js';

/** What the picture does over time: black, freezes, repeats, cuts, bars. */
export const temporal: PictureStudy<MeasuredTemporal> = {
  study: (plan) => new TemporalStudy(plan),
  figures({ plan, rate, clock, columns }) {
    if (columns === null) return { section: null, events: [], unmeasured: [] };
    const section = temporalFigures(withColumns(columns, TEMPORAL_COLUMNS), plan.geometry, clock);
    return { section, events: temporalEvents(section, plan.geometry, rate), unmeasured: [] };
  },
};
