import type { PictureArea } from '../../../jobs/measurement/measured-temporal.js';
import { count } from '../../../jobs/words/numbers.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { onSection, type Video } from '../on-picture.js';
import { plainRange } from '../place.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { onlyLongestListed } from './listed-places.js';
import { TEMPORAL } from './temporal.js';

/** Edges of an area, in pixels; those of an aspect ratio may lie between two pixels. */
type Area = { readonly [K in keyof PictureArea]: number };

export const requirement = defineRequirement('active-picture', {
  title: 'Active picture',
  why: 'Bars of the wrong size mean wrong framing, or are cropped later in the chain.',
  expected: ({ aspect, area, tolerance, constant }) => {
    const size =
      aspect !== undefined
        ? `picture of ${aspect}:1, centred`
        : area === undefined
          ? 'picture to the edges of the raster'
          : `picture ${words(area)}`;
    return `${size}, within ${count(tolerance, 'line')}${constant ? ', throughout' : ''}`;
  },
  advice: 'Correct the framing or the mattes of the shots that are off.',
  rule: onSection('temporal', TEMPORAL, (limits, { activePicture: found }, { video }) => {
    const { tolerance, constant } = limits;
    const expected = expectedArea(limits, video);
    if (expected === null) return unmeasured('the file declares no sample aspect, so the shape is not known');
    if (found.area === null) return unmeasured('the whole picture is too dark to find its edges');
    const measured = words(found.area);
    if (!fits(found.area, expected, tolerance)) return missed(measured);
    const { others } = found;
    if (!constant || others.places === 0) return met(measured);
    const bad = others.ranges.filter(({ area }) => !fits(area, expected, tolerance));
    const [first] = bad;
    const unlisted = others.places > others.ranges.length;
    if (first === undefined) return unlisted ? unmeasured(onlyLongestListed(others)) : met(measured);
    const at = bad.map(plainRange);
    const elsewhere = `${measured}, but in ${count(bad.length, 'place')} others, the first ${words(first.area)}`;
    return unlisted ? missed(`${elsewhere}, and more`, { at }) : missedOnlyAt(at, elsewhere);
  }),
});

function words({ left, top, width, height }: PictureArea): string {
  return `${width} x ${height} at ${left}, ${top}`;
}

/** Null where the shape of the pixels is not known and matters. */
function expectedArea({ aspect, area }: Limits<'active-picture'>, video: Video): Area | null {
  const { width, height } = video;
  if (area !== undefined) return area;
  if (aspect === undefined) return { left: 0, top: 0, width, height };
  const sampleAspect = parseRational(video.sampleAspect ?? '');
  if (sampleAspect === null || sampleAspect.num === 0) return null;
  const shape = aspect / toNumber(sampleAspect);
  const fitted = {
    width: Math.min(width, height * shape),
    height: Math.min(height, width / shape),
  };
  return { left: (width - fitted.width) / 2, top: (height - fitted.height) / 2, ...fitted };
}

/** Whether every edge lies where expected, within the tolerance and half a line of rounding. */
function fits(area: PictureArea, expected: Area, tolerance: number): boolean {
  const edges = (of: Area): number[] => [of.left, of.top, of.left + of.width, of.top + of.height];
  const expectedEdges = edges(expected);
  return edges(area).every((edge, i) => Math.abs(edge - (expectedEdges[i] ?? Number.NaN)) <= tolerance + 0.5);
}
