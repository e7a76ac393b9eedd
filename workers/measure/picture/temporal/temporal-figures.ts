import type { MeasuredTemporal, PictureArea } from '../../../../jobs/measurement/measured-temporal.js';
import type { FrameRange } from '../../../../jobs/measurement/measurement.js';
import type { FrameClock } from '../../figures/frame-ranges.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { activePicture } from './active-picture.js';
import { findBlankEdges } from './find-blank-edges.js';
import { BLACK_AREA, findBlack, findFlat, WIDEST_FLAT } from './find-flat.js';
import { FREEZE_DB, findFreezes, LEAST_FREEZE_FRAMES } from './find-freezes.js';
import { findRepeats } from './find-repeats.js';
import { findShots, SHORT_SHOT_BELOW } from './find-shots.js';
import { framesIn, LISTED, longest, type Run } from './frames-in-runs.js';
import { DARK_LEVEL, FLAT_AREA, type TemporalColumn } from './temporal-columns.js';

/** What the picture does over time, from the columns of all its frames. Pure. */
export function temporalFigures(
  columns: StudyColumns<TemporalColumn>,
  raster: { readonly width: number; readonly height: number },
  clock: FrameClock,
): MeasuredTemporal {
  const shots = findShots(columns);
  const freezes = findFreezes(columns);
  const repeats = findRepeats(columns, shots.cuts, freezes);
  const active = activePicture(columns, raster, shots.cuts.length + 1);
  const blank = findBlankEdges(columns, active.bars, active.leastBar, raster, shots.cuts);

  const listed = <R extends Run>(runs: readonly R[]): (Omit<R, 'from' | 'to'> & FrameRange)[] =>
    longest(runs).map((run) => ({ ...run, ...clock.range(run.from, run.to) }));
  const places = <R extends Run>(runs: readonly R[]) => ({
    places: runs.length,
    frames: framesIn(runs),
    ranges: listed(runs),
  });
  return {
    black: { level: DARK_LEVEL, area: BLACK_AREA, ...places(findBlack(columns)) },
    constantColour: {
      level: WIDEST_FLAT,
      area: FLAT_AREA,
      ...places(findFlat(columns).map((run) => ({ ...run, colour: [...run.colour] }))),
    },
    freeze: { db: FREEZE_DB, leastFrames: LEAST_FREEZE_FRAMES, ...places(freezes) },
    duplicate: {
      ...places(repeats.single),
      regular: { frames: repeats.regularFrames, ranges: listed(repeats.regular) },
    },
    missingMotion: places(repeats.missing.map((frame) => ({ from: frame, to: frame + 1 }))),
    shortShot: {
      below: SHORT_SHOT_BELOW,
      ...places(shots.short),
      cuts: shots.cuts.length,
      unclear: { places: shots.unclear.length, ranges: listed(shots.unclear) },
    },
    activePicture: {
      leastBar: active.leastBar,
      area: active.area,
      framesTold: active.framesTold,
      others: places(active.others),
    },
    blankEdge: places(blank),
  };
}

/**
 * Share of the raster that is active picture, frame by frame: what CTA-861.3 lets MaxFALL be averaged over.
 * Where the bars are not known the whole raster counts. Of more than 500 stretches with other bars only the
 * longest are told apart.
 */
export function activeShare(
  { area, others }: MeasuredTemporal['activePicture'],
  frames: number,
  raster: { readonly width: number; readonly height: number },
): Float64Array {
  const pixels = raster.width * raster.height;
  const share = (of: PictureArea): number => (of.width * of.height) / pixels;
  const shares = new Float64Array(frames).fill(area === null ? 1 : share(area));
  if (others.places > LISTED) return shares;
  for (const { from, to, area: other } of others.ranges) shares.fill(share(other), from, to);
  return shares;
}
