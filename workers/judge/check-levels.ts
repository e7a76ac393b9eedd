import type { Measurement } from '../../jobs/measurement/measurement.js';
import { r103PreferredLevels } from '../../signal/r103.js';
import { withVideo } from './check-format.js';
import { judgeParts, type LargestFigure, missedSomewhere } from './curve-places.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { count, level, percent } from './figures.js';
import { framesAt, intersect, joinRanges } from './place.js';
import { type Check, type CheckWithin, met, missed, missedOnlyAt, unmeasured } from './ruling.js';

/** Area above which the measurement counts a frame and gives its ranges (EBU R 103). */
const COUNTED_AREA = 0.01;

function signalRangeWanted(maxArea: number, measurement: Measurement): string {
  const depth = measurement.video?.bitDepth.declared ?? 10;
  const limits = depth >= 8 && depth <= 16 ? r103PreferredLevels(depth) : null;
  const inside =
    limits === null
      ? 'the tolerance'
      : `${level(limits.min, depth)} to ${level(limits.max, depth)} at ${depth} bits`;
  return `at most ${percent(maxArea)} of the picture outside ${inside}, R'G'B' and Y', EBU R 103 v3.0`;
}

const INTO_RANGE =
  'Bring the picture into range in the grade, or legalise it with an eye on what that clips.';

function areaFigure(expected: string, limit: number, { levels, curves }: Measurement): LargestFigure {
  const { picture } = curves;
  return {
    limit,
    curve: picture === null ? null : { points: picture.gamutArea, framesPerPoint: picture.framesPerPoint },
    worstFrame: levels?.gamutError.worstFrame ?? null,
    expected,
    advice: INTO_RANGE,
  };
}

export const signalRange: Check<'signal-range'> = ({ maxArea }, measurement) => {
  const depth = measurement.video?.bitDepth.declared ?? 10;
  const expected = signalRangeWanted(maxArea, measurement);
  return withVideo(measurement, expected, () => {
    const { levels } = measurement;
    const doubt = doubtAbout(measurement, 'levels.gamutError');
    if (levels === null || doubt !== null) {
      const reason = doubt ?? reasonFor(measurement, 'levels', 'levels.gamutError');
      return unmeasured(expected, reason, 'Measure the file again from a decodable copy.');
    }
    const { worstArea, worstFrame, framesOver, ranges } = levels.gamutError;
    const worst = worstFrame === null ? '' : `, worst in frame ${worstFrame}`;
    const measured = `${percent(worstArea)} outside${worst}${extremes(levels, depth)}`;
    if (worstArea <= maxArea) return met(expected, measured);
    // The measurement's ranges are of frames over 1 %: they answer this limit only when it is that.
    if (maxArea === COUNTED_AREA && ranges.length > 0) {
      return missedOnlyAt(ranges, expected, `${measured}, ${count(framesOver, 'frame')} over`, INTO_RANGE);
    }
    return missedSomewhere(measurement, measured, areaFigure(expected, maxArea, measurement));
  });
};

export const signalRangeWithin: CheckWithin<'signal-range'> = ({ maxArea }, measurement, _, parts) => {
  const expected = signalRangeWanted(maxArea, measurement);
  const { gamutError } = measurement.levels ?? { gamutError: null };
  const measured = gamutError === null ? 'not known' : `${percent(gamutError.worstArea)} outside`;
  if (gamutError === null || maxArea !== COUNTED_AREA || gamutError.ranges.length === 0) {
    return judgeParts(measurement, measured, areaFigure(expected, maxArea, measurement), parts);
  }
  const at = joinRanges(intersect(measurement, gamutError.ranges, parts));
  const frames = at.reduce((sum, { from, to }) => sum + to - from, 0);
  if (frames === 0) return met(expected, 'no frame over in these parts');
  return missedOnlyAt(at, expected, `${count(frames, 'frame')} over in these parts`, INTO_RANGE);
};

function extremes(levels: NonNullable<Measurement['levels']>, depth: number): string {
  const { luma, rgb } = levels;
  const span = (name: string, of: typeof luma): string =>
    of === null ? '' : `, ${name} ${level(of.min, depth)} to ${level(of.max, depth)}`;
  return `${span("Y'", luma)}${span("R'G'B'", rgb)}`;
}

function reservedCodesWanted(measurement: Measurement): string {
  const depth = measurement.video?.bitDepth.declared ?? 10;
  const kept =
    depth === 8
      ? '0 and 255'
      : `0 to ${2 ** (depth - 8) - 1} and ${2 ** depth - 2 ** (depth - 8)} to ${2 ** depth - 1}`;
  return `no sample at ${kept} (${depth} bits), the codes SDI keeps for itself`;
}

const TO_VIDEO_CODES = 'Limit the picture to the codes a video interface can carry.';

export const reservedCodes: Check<'reserved-codes'> = (_, measurement) => {
  const expected = reservedCodesWanted(measurement);
  return withVideo(measurement, expected, () => {
    const { levels } = measurement;
    const doubt = doubtAbout(measurement, 'levels.reservedCodes');
    if (levels === null || doubt !== null) {
      const reason = doubt ?? reasonFor(measurement, 'levels', 'levels.reservedCodes');
      return unmeasured(expected, reason, 'Measure the file again from a decodable copy.');
    }
    const { samples, firstFrame } = levels.reservedCodes;
    if (samples === 0) return met(expected, 'none');
    const first = firstFrame === null ? '' : `, the first in frame ${firstFrame}`;
    return missed(
      expected,
      `${count(samples, 'sample')}${first}`,
      TO_VIDEO_CODES,
      firstFrame === null ? [] : [framesAt(measurement, firstFrame, firstFrame + 1)],
    );
  });
};

/** Only the first frame is known: parts that end before it are clean, a part that holds it is not, and the rest is open. */
export const reservedCodesWithin: CheckWithin<'reserved-codes'> = (_, measurement, __, parts) => {
  const expected = reservedCodesWanted(measurement);
  const first = measurement.levels?.reservedCodes.firstFrame ?? null;
  if (first !== null && parts.some(({ from, to }) => from <= first && first < to)) {
    return missed(expected, `some, the first in frame ${first}`, TO_VIDEO_CODES, [
      framesAt(measurement, first, first + 1),
    ]);
  }
  if (first !== null && parts.every(({ to }) => to <= first))
    return met(expected, `none before frame ${first}`);
  const reason =
    first === null
      ? 'where they are is not known'
      : `the first is in frame ${first}, where the others are is not known`;
  return unmeasured(expected, reason, TO_VIDEO_CODES);
};
