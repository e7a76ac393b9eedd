import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Rational } from '../../../../signal/rational.js';
import { spectrumStudy } from '../effective/spectrum-study.js';
import { fields } from '../fields/fields.js';
import { flashes } from '../flash/flashes.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { SignatureStudy } from '../signature/signature-study.js';
import { temporal } from '../temporal/temporal.js';
import type { FrameStudy, PlaneStudy } from './frame-study.js';
import type { PictureStudy, StudiedFrames } from './picture-study.js';
import type { PictureTotals } from './picture-totals.js';

/**
 * Every study of frames, by the section of the measurement that it fills: its columns are found under the
 * same name.
 */
const STUDIES = { temporal, flashes, fields };

export type StudyName = keyof typeof STUDIES;
export const STUDY_NAMES = Object.keys(STUDIES);
/** The sections of the measurement that the studies fill. */
export type StudySections = Pick<Measurement, StudyName>;
export const NO_SECTIONS: StudySections = { temporal: null, flashes: null, fields: null };

export const SPECTRUM = 'spectrum';
/** Its columns fill no section: a copy is compared with its original by them. */
export const SIGNATURE = 'signature';

/** The studies of pictures of a plan. */
export function frameStudies(
  plan: PicturePlan,
  rate: Rational | null,
): readonly { readonly name: string; readonly study: FrameStudy<string> }[] {
  const ofSections = Object.entries(STUDIES).flatMap(([name, { study: of }]) => {
    const study = of(plan, rate);
    return study === null ? [] : [{ name, study }];
  });
  return [...ofSections, { name: SIGNATURE, study: new SignatureStudy(plan) }];
}

/**
 * Results of the studies of a whole file. Pure; throws where the totals are not of these studies: a defect of
 * goodgate.
 */
export function studyFigures(
  totals: PictureTotals,
  about: Omit<StudiedFrames, 'columns'>,
): { readonly sections: StudySections } & Pick<Measurement, 'events' | 'unmeasured'> {
  const events: Measurement['events'] = [];
  const unmeasured: Measurement['unmeasured'] = [];
  const section = <Section>(name: StudyName, study: PictureStudy<Section>): Section | null => {
    const columns = totals.frames === 0 ? null : (totals.studies[name] ?? null);
    if (columns === null && totals.frames > 0 && study.study(about.plan, about.rate) !== null) {
      throw new Error(`no columns of the study ${name}`);
    }
    const found = study.figures({ ...about, columns });
    events.push(...found.events);
    unmeasured.push(...found.unmeasured);
    return found.section;
  };
  const sections = {
    temporal: section('temporal', STUDIES.temporal),
    flashes: section('flashes', STUDIES.flashes),
    fields: section('fields', STUDIES.fields),
  };
  return { sections, events, unmeasured };
}

export function planeStudies(
  plan: PicturePlan,
): readonly { readonly name: string; readonly study: PlaneStudy }[] {
  return [{ name: SPECTRUM, study: spectrumStudy(plan) }];
}
