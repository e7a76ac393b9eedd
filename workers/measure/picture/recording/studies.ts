import type { Rational } from '../../../../signal/rational.js';
import { spectrumStudy } from '../effective/spectrum-study.js';
import { fieldStudy } from '../fields/field-study.js';
import { flashStudy } from '../flash/flash-study.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { TemporalStudy } from '../temporal/temporal-study.js';
import type { FrameStudy, PlaneStudy, StudyColumns } from './frame-study.js';
import { withColumns } from './growing-columns.js';
import type { PictureTotals } from './picture-totals.js';

export const TEMPORAL = 'temporal';
export const FLASHES = 'flashes';
export const FIELDS = 'fields';
export const SPECTRUM = 'spectrum';

/** Every study of a picture, by the name its columns are found under. */
export function frameStudies(
  plan: PicturePlan,
  rate: Rational | null,
): readonly { readonly name: string; readonly study: FrameStudy<string> }[] {
  const flash = flashStudy(plan, rate);
  return [
    { name: TEMPORAL, study: new TemporalStudy(plan) },
    { name: FIELDS, study: fieldStudy({ depth: plan.layout.depth, ...plan.geometry }) },
    ...(flash ? [{ name: FLASHES, study: flash }] : []),
  ];
}

export function planeStudies(
  plan: PicturePlan,
): readonly { readonly name: string; readonly study: PlaneStudy }[] {
  return [{ name: SPECTRUM, study: spectrumStudy(plan) }];
}

/** The columns of a study; throws where the totals are not of that study: a mistake of ours. */
export function columnsOf<Column extends string>(
  totals: PictureTotals,
  name: string,
  columns: readonly Column[],
): StudyColumns<Column> {
  const found = totals.studies[name];
  if (!found) throw new Error(`no columns of the study ${name}`);
  return withColumns(found, columns);
}
