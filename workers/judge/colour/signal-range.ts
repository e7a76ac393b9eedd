import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { level, percent } from '../../../jobs/words/quantities.js';
import { r103PreferredLevels } from '../../../signal/r103.js';
import { judgeParts, type LargestFigure, missedSomewhere } from '../curve-places.js';
import { onSection } from '../on-picture.js';
import { intersect, joinRanges } from '../place.js';
import { defineRequirement, type Limits, type Parts } from '../requirement.js';
import { met, missedOnlyAt, type Ruling } from '../ruling.js';

/** Area above which the measurement counts a frame and gives its ranges (EBU R 103). */
const COUNTED_AREA = 0.01;

type Levels = NonNullable<Measurement['levels']>;

export const requirement = defineRequirement('signal-range', {
  title: 'Signal range (EBU R 103)',
  why: 'Levels outside the tolerance are clipped later in the chain, or the master is refused.',
  expected: ({ maxArea }, measurement) => {
    const depth = depthOf(measurement);
    const limits = depth >= 8 && depth <= 16 ? r103PreferredLevels(depth) : null;
    const inside =
      limits === null
        ? 'the tolerance'
        : `${level(limits.min, depth)} to ${level(limits.max, depth)} at ${depth} bits`;
    return `at most ${percent(maxArea)} of the picture outside ${inside}, R'G'B' and Y', EBU R 103 v3.0`;
  },
  advice: 'Bring the picture into range in the grade, or legalise it and check what that clips.',
  rule: onSection(
    'levels',
    { what: 'levels', subject: 'levels.gamutError' },
    ({ maxArea }, levels, measurement) => {
      const { worstArea, worstFrame, framesOver, ranges } = levels.gamutError;
      const worst = worstFrame === null ? '' : `, worst in frame ${worstFrame}`;
      const measured = `${percent(worstArea)} outside${worst}${extremes(levels, depthOf(measurement))}`;
      if (worstArea <= maxArea) return met(measured);
      // The measurement lists ranges of frames over 1 %: they can be used only where that is the limit.
      if (maxArea === COUNTED_AREA && ranges.length > 0) {
        return missedOnlyAt(ranges, `${measured}, ${count(framesOver, 'frame')} over`);
      }
      return missedSomewhere(measurement, measured, areaFigure(maxArea, measurement));
    },
  ),
  within: (limits, measurement, { parts }) => judgeRanges(limits, measurement, parts ?? []),
});

function judgeRanges(
  { maxArea }: Limits<'signal-range'>,
  measurement: Measurement,
  parts: NonNullable<Parts>,
): Ruling {
  const { gamutError } = measurement.levels ?? { gamutError: null };
  const measured = gamutError === null ? 'not known' : `${percent(gamutError.worstArea)} outside`;
  if (gamutError === null || maxArea !== COUNTED_AREA || gamutError.ranges.length === 0) {
    return judgeParts(measurement, measured, areaFigure(maxArea, measurement), parts);
  }
  const at = joinRanges(intersect(measurement, gamutError.ranges, parts));
  const frames = at.reduce((sum, { from, to }) => sum + to - from, 0);
  if (frames === 0) return met('no frame over in these parts');
  return missedOnlyAt(at, `${count(frames, 'frame')} over in these parts`);
}

function depthOf({ video }: Measurement): number {
  return video?.bitDepth.declared ?? 10;
}

function areaFigure(limit: number, { levels, curves: { picture } }: Measurement): LargestFigure {
  return {
    limit,
    curve: picture === null ? null : { points: picture.gamutArea, framesPerPoint: picture.framesPerPoint },
    worstFrame: levels?.gamutError.worstFrame ?? null,
  };
}

function extremes({ luma, rgb }: Levels, depth: number): string {
  const span = (name: string, of: Levels['luma']): string =>
    of === null ? '' : `, ${name} ${level(of.min, depth)} to ${level(of.max, depth)}`;
  return `${span("Y'", luma)}${span("R'G'B'", rgb)}`;
}
