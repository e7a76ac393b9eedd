import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Rational } from '../../../../signal/rational.js';
import type { FrameClock } from '../../figures/frame-ranges.js';
import type { LinesInPairs } from '../effective/repeated-samples.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { FrameStudy, StudyColumns } from './frame-study.js';

/** A study from frames to figures: it fills one section of the measurement. */
export interface PictureStudy<Section> {
  /** Null where pictures of this plan are not studied. */
  readonly study: (plan: PicturePlan, rate: Rational | null) => FrameStudy<string> | null;
  /** Computes the section from the columns of a whole file. Pure. */
  readonly figures: (studied: StudiedFrames) => StudyFigures<Section>;
}

export interface StudiedFrames {
  readonly plan: PicturePlan;
  /** Null: seconds cannot be counted. */
  readonly rate: Rational | null;
  readonly clock: FrameClock;
  /** ffmpeg's name. */
  readonly codec: string;
  /** Whether each line is there twice. */
  readonly linesInPairs: LinesInPairs;
  /** The columns of the study; null where no frame was studied. */
  readonly columns: StudyColumns<string> | null;
}

export interface StudyFigures<Section> {
  /** Null where there is no result. */
  readonly section: Section | null;
  readonly events: Measurement['events'];
  readonly unmeasured: Measurement['unmeasured'];
}
