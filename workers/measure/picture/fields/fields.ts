import type { MeasuredFields } from '../../../../jobs/measurement/measured-fields.js';
import { withColumns } from '../recording/growing-columns.js';
import type { PictureStudy } from '../recording/picture-study.js';
import { fieldFigures } from './field-figures.js';
import { FIELD_COLUMNS, fieldStudy } from './field-study.js';

/** Scan, combing and cadence as the moving picture shows them. */
export const fields: PictureStudy<MeasuredFields> = {
  study: ({ layout, geometry }) => fieldStudy({ depth: layout.depth, ...geometry }),
  figures({ clock, columns }) {
    const section = columns && fieldFigures(withColumns(columns, FIELD_COLUMNS), clock);
    return { section, events: [], unmeasured: [] };
  },
};
