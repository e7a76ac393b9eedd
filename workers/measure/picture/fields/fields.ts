import type { MeasuredFields } from '../../../../jobs/measurement/measured-fields.js';
import { withColumns } from '../recording/growing-columns.js';
import type { PictureStudy } from '../recording/picture-study.js';
import { fieldFigures } from './field-figures.js';
import { FIELD_COLUMNS, fieldStudy } from './field-study.js';

/** Scan, combing and cadence as detected from motion. */
export const fields: PictureStudy<MeasuredFields> = {
  study: ({ layout, geometry }) => fieldStudy({ depth: layout.depth, ...geometry }),
  figures({ clock, columns, linesInPairs }) {
    if (linesInPairs === 'yes' && columns !== null) {
      const why =
        'its lines come in pairs: half of them doubled, or fields that all move up or down by about a line; ' +
        'both comb and lean alike';
      return { section: null, events: [], unmeasured: [{ what: 'fields', why }] };
    }
    const found = columns && fieldFigures(withColumns(columns, FIELD_COLUMNS), clock);
    const isDoubtful =
      linesInPairs === 'perhaps' || (linesInPairs === 'worn' && found?.scan !== 'progressive');
    const section = found !== null && isDoubtful ? unsure(found) : found;
    return { section, events: [], unmeasured: [] };
  },
};

/** What doubled lines would show too. */
function unsure(found: MeasuredFields): MeasuredFields {
  const none = { places: 0, ranges: [], frames: 0, worstFrame: null, worstArea: 0 };
  return { ...found, confidence: 'low', combed: none };
}
