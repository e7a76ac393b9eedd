import type { Rational } from '../../../signal/rational.js';
import { flashStudy } from './flash/flash-study.js';
import type { FrameStudy, PlaneStudy, StudyColumns } from './frame-study.js';
import type { PicturePlan } from './picture-kernel.js';
import type { PictureTotals } from './picture-totals.js';
import { TemporalStudy } from './temporal/temporal-study.js';

export const TEMPORAL = 'temporal';
export const FLASHES = 'flashes';

/** Every study of a picture, by the name its columns are found under. */
export function frameStudies(
  plan: PicturePlan,
  rate: Rational | null,
): readonly { readonly name: string; readonly study: FrameStudy<string> }[] {
  const flash = flashStudy(plan, rate);
  return [
    { name: TEMPORAL, study: new TemporalStudy(plan) },
    ...(flash ? [{ name: FLASHES, study: flash }] : []),
  ];
}

export function planeStudies(
  _plan: PicturePlan,
): readonly { readonly name: string; readonly study: PlaneStudy }[] {
  return [];
}

/** The columns of a study; throws where the totals are not of that study: a mistake of ours. */
export function columnsOf<Column extends string>(
  totals: PictureTotals,
  name: string,
  columns: readonly Column[],
): StudyColumns<Column> {
  const found = totals.studies[name];
  if (!found || !hasColumns(found, columns)) throw new Error(`no columns of the study ${name}`);
  return found;
}

function hasColumns<Column extends string>(
  found: Readonly<Record<string, Float64Array>>,
  columns: readonly Column[],
): found is StudyColumns<Column> {
  return columns.every((column) => column in found);
}
