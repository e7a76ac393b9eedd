import type { PictureArea } from '../../jobs/measurement/measured-temporal.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import { withTemporal } from './check-temporal.js';
import { count } from './figures.js';
import { plainRange } from './place.js';
import { type Check, hold, type Limits, met, missed, missedOnlyAt, unmeasured } from './ruling.js';

/** Edges of an area, in pixels; of an aspect ratio they may lie between two. */
type Area = { readonly [K in keyof PictureArea]: number };

export const activePicture: Check<'active-picture'> = (limits, measurement) => {
  const wanted = wantedArea(limits, measurement);
  const { aspect, tolerance, constant } = limits;
  const size =
    aspect !== undefined
      ? `picture of ${aspect}:1, centred`
      : limits.area === undefined
        ? 'picture to the edges of the raster'
        : `picture ${words(limits.area)}`;
  const expected = `${size}, within ${count(tolerance, 'line')}${constant ? ', throughout' : ''}`;
  return withTemporal(measurement, expected, ({ activePicture: found }) => {
    const advice = 'Correct the framing or the mattes of the shots that are off.';
    if (wanted === null) {
      return unmeasured(expected, 'the file states no sample aspect to reckon the shape by', advice);
    }
    if (found.area === null) {
      return unmeasured(expected, 'the picture is too dark throughout to show its edges', advice);
    }
    const measured = words(found.area);
    if (!fits(found.area, wanted, tolerance)) return missed(expected, measured, advice);
    const { others } = found;
    if (!constant || others.places === 0) return met(expected, measured);
    const bad = others.ranges.filter(({ area }) => !fits(area, wanted, tolerance));
    const [first] = bad;
    const unlisted = others.places > others.ranges.length;
    if (first === undefined) {
      const reason = `only the ${others.ranges.length} longest of ${others.places} places are known one by one`;
      return unlisted ? unmeasured(expected, reason, advice) : hold(true, expected, measured, advice);
    }
    const at = bad.map(plainRange);
    const elsewhere = `${measured}, but in ${count(bad.length, 'place')} others, the first ${words(first.area)}`;
    return unlisted
      ? missed(expected, `${elsewhere}, and more`, advice, at)
      : missedOnlyAt(at, expected, elsewhere, advice);
  });
};

function words({ left, top, width, height }: PictureArea): string {
  return `${width} x ${height} at ${left}, ${top}`;
}

/** Null where the shape of the pixels is not known and matters. */
function wantedArea({ aspect, area }: Limits<'active-picture'>, { video }: Measurement): Area | null {
  const { width = 0, height = 0 } = video ?? {};
  if (area !== undefined) return area;
  if (aspect === undefined) return { left: 0, top: 0, width, height };
  const sampleAspect = parseRational(video?.sampleAspect ?? '');
  if (sampleAspect === null || sampleAspect.num === 0) return null;
  const shape = aspect / toNumber(sampleAspect);
  const fitted = {
    width: Math.min(width, height * shape),
    height: Math.min(height, width / shape),
  };
  return { left: (width - fitted.width) / 2, top: (height - fitted.height) / 2, ...fitted };
}

/** Whether every edge lies where it should, to so many lines and the half line of rounding. */
function fits(area: PictureArea, wanted: Area, tolerance: number): boolean {
  const edges = (of: Area): number[] => [of.left, of.top, of.left + of.width, of.top + of.height];
  const should = edges(wanted);
  return edges(area).every((edge, i) => Math.abs(edge - (should[i] ?? Number.NaN)) <= tolerance + 0.5);
}
