import type { Measurement } from '../../jobs/measurement.js';
import { r103PreferredLevels } from '../../signal/r103.js';
import { withVideo } from './check-format.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { count, level, percent } from './figures.js';
import { framesAt } from './place.js';
import { type Check, met, missed, unmeasured } from './ruling.js';

/** Area above which the measurement counts a frame and gives its ranges (EBU R 103). */
const COUNTED_AREA = 0.01;

export const signalRange: Check<'signal-range'> = ({ maxArea }, measurement) => {
  const depth = measurement.video?.bitDepth.declared ?? 10;
  const limits = depth >= 8 && depth <= 16 ? r103PreferredLevels(depth) : null;
  const inside =
    limits === null
      ? 'the tolerance'
      : `${level(limits.min, depth)} to ${level(limits.max, depth)} at ${depth} bits`;
  const expected = `at most ${percent(maxArea)} of the picture outside ${inside}, R'G'B' and Y', EBU R 103 v3.0`;
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
    const single = worstFrame === null ? [] : [framesAt(measurement, worstFrame, worstFrame + 1)];
    // The measurement's ranges are of frames over 1 %: they answer this limit only when it is that.
    const at = maxArea === COUNTED_AREA && ranges.length > 0 ? ranges : single;
    const frames = maxArea === COUNTED_AREA ? `, ${count(framesOver, 'frame')} over` : '';
    return missed(
      expected,
      `${measured}${frames}`,
      'Bring the picture into range in the grade, or legalise it with an eye on what that clips.',
      at,
    );
  });
};

function extremes(levels: NonNullable<Measurement['levels']>, depth: number): string {
  const { luma, rgb } = levels;
  const span = (name: string, of: typeof luma): string =>
    of === null ? '' : `, ${name} ${level(of.min, depth)} to ${level(of.max, depth)}`;
  return `${span("Y'", luma)}${span("R'G'B'", rgb)}`;
}

export const reservedCodes: Check<'reserved-codes'> = (_, measurement) => {
  const depth = measurement.video?.bitDepth.declared ?? 10;
  const kept =
    depth === 8
      ? '0 and 255'
      : `0 to ${2 ** (depth - 8) - 1} and ${2 ** depth - 2 ** (depth - 8)} to ${2 ** depth - 1}`;
  const expected = `no sample at ${kept} (${depth} bits), the codes SDI keeps for itself`;
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
      'Limit the picture to the codes a video interface can carry.',
      firstFrame === null ? [] : [framesAt(measurement, firstFrame, firstFrame + 1)],
    );
  });
};
