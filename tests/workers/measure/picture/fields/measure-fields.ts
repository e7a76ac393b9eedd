import { type MeasuredFields, measuredFields } from '../../../../../jobs/measurement/measured-fields.js';
import { frameClock } from '../../../../../workers/measure/figures/frame-ranges.js';
import { fieldFigures } from '../../../../../workers/measure/picture/fields/field-figures.js';
import {
  FIELD_COLUMNS,
  type FieldColumn,
  fieldStudy,
} from '../../../../../workers/measure/picture/fields/field-study.js';
import type { StudyColumns } from '../../../../../workers/measure/picture/recording/frame-study.js';
import { naiveFeatures, type Shape } from './moving-picture.js';

/** Columns of frames, as the measurement keeps them. */
export function columnsOf(shape: Shape, frames: readonly Uint16Array[]): StudyColumns<FieldColumn> {
  const study = fieldStudy(shape);
  const rows = frames.map((plane, n) =>
    study.observe(naiveFeatures(n, shape, plane, n === 0 ? null : (frames[n - 1] ?? null))),
  );
  return Object.fromEntries(
    FIELD_COLUMNS.map((name) => [name, Float64Array.from(rows, (row) => row[name])]),
  ) as Record<FieldColumn, Float64Array>;
}

export function fieldsOf(shape: Shape, frames: readonly Uint16Array[]): MeasuredFields {
  const clock = frameClock('10:00:00:00', '25/1');
  return measuredFields.parse(fieldFigures(columnsOf(shape, frames), clock));
}
