import type { ColourTags } from '../../jobs/colour.js';
import { withVideo } from './check-format.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { level, oneOf } from './figures.js';
import { type Check, hold, met, missed, unmeasured } from './ruling.js';

const TAGS = ['primaries', 'transfer', 'matrix', 'range'] as const;

/** Words by which a tag says that it says nothing (H.273 code point 2 and the reserved ones). */
const SILENT_TAGS: ReadonlySet<string> = new Set(['', 'unknown', 'unspecified', 'reserved']);

function spoken(tag: string | null): string | null {
  return tag === null || SILENT_TAGS.has(tag) ? null : tag;
}

export const colour: Check<'colour'> = (limits, measurement) => {
  const wanted: Readonly<Record<(typeof TAGS)[number], readonly string[]>> = {
    primaries: [limits.primaries],
    transfer: limits.transfer,
    matrix: [limits.matrix],
    range: [limits.range],
  };
  const expected = TAGS.map((tag) => `${tag} ${oneOf(wanted[tag])}`).join(', ');
  return withVideo(measurement, expected, ({ colour: tags }) => {
    const measured = TAGS.map((tag) => `${tag} ${spoken(tags[tag]) ?? 'not stated'}`).join(', ');
    const wrong = TAGS.filter((tag) => !wanted[tag].includes(spoken(tags[tag]) ?? ''));
    return hold(
      wrong.length === 0,
      expected,
      measured,
      `Write ${wrong.map((tag) => `${tag} ${oneOf(wanted[tag])}`).join(', ')} into the file if the picture is that; render it again if not.`,
    );
  });
};

export const colourLayers: Check<'colour-layers'> = (_, measurement) => {
  const expected = 'container and bitstream say the same of colour';
  return withVideo(measurement, expected, ({ colourByLayer: { container, bitstream } }) => {
    const advice = 'Have both layers carry the colour of the picture.';
    if (container === null || bitstream === null) {
      const silent = container === null ? 'the container' : 'the bitstream';
      return unmeasured(expected, `${silent} says nothing of colour, or it could not be read`, advice);
    }
    const both = TAGS.filter((tag) => spoken(container[tag]) !== null && spoken(bitstream[tag]) !== null);
    if (both.length === 0) return unmeasured(expected, 'no tag is stated by both', advice);
    const differing = both.filter((tag) => container[tag] !== bitstream[tag]);
    const say = (tags: ColourTags, names: readonly (typeof TAGS)[number][]): string =>
      names.map((tag) => `${tag} ${tags[tag]}`).join(', ');
    return differing.length === 0
      ? met(expected, `both ${say(container, both)}`)
      : missed(
          expected,
          `container ${say(container, differing)}; bitstream ${say(bitstream, differing)}`,
          advice,
        );
  });
};

export const rangeFlag: Check<'range-flag'> = (_, measurement) => {
  const expected = 'levels as the range flag says';
  return withVideo(measurement, expected, (video) => {
    const { range } = video.colour;
    const looksFull = measurement.levels?.looksFullRange ?? null;
    const doubt = doubtAbout(measurement, 'levels.looksFullRange');
    const advice = 'Correct the flag if the picture is right, or the levels if the flag is.';
    if (range === null)
      return unmeasured(expected, 'the file states no range', 'Have the file state narrow or full range.');
    if (looksFull === null || doubt !== null) {
      const reason =
        doubt ??
        reasonFor(measurement, 'opinion: too little tone to tell the range', 'levels.looksFullRange');
      return unmeasured(expected, reason, 'Judge a part of the programme with black and white in it.');
    }
    const looks = looksFull ? 'full' : 'narrow';
    const luma = measurement.levels?.luma ?? null;
    const depth = video.bitDepth.declared;
    const seen = luma === null ? '' : ` (luma ${level(luma.min, depth)} to ${level(luma.max, depth)})`;
    return hold(looks === range, expected, `flag ${range}, picture ${looks}${seen}`, advice);
  });
};
