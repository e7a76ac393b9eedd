import type { Flashes } from '../../../../jobs/measurement/measured-flashes.js';
import type { PictureStudy } from '../recording/picture-study.js';
import { flashFigures } from './flash-figures.js';
import { flashStudy } from './flash-study.js';

/** Screening for flashes that can harm. */
export const flashes: PictureStudy<Flashes> = {
  study: flashStudy,
  figures({ plan, rate, clock, columns }) {
    const { flashes: section, events, unmeasured } = flashFigures(plan, rate, columns, clock);
    return { section, events, unmeasured };
  },
};
