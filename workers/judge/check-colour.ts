import type { ColourTags } from '../../jobs/manifest/colour.js';
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

export const colourLayers: Check<'colour-layers'> = ({ proof }, measurement) => {
  const expected = 'container and bitstream say the same of colour';
  return withVideo(measurement, expected, ({ colourByLayer: { container, bitstream } }) => {
    const advice = 'Have both layers carry the colour of the picture.';
    if (container === null || bitstream === null) {
      const silent = container === null ? 'the container' : 'the bitstream';
      const reason = `${silent} says nothing of colour, or it could not be read`;
      return proof ? unmeasured(expected, reason, advice) : met(expected, `no contradiction: ${reason}`);
    }
    const both = TAGS.filter((tag) => spoken(container[tag]) !== null && spoken(bitstream[tag]) !== null);
    if (both.length === 0) {
      const reason = 'no tag is stated by both';
      return proof ? unmeasured(expected, reason, advice) : met(expected, `no contradiction: ${reason}`);
    }
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

export const rangeFlag: Check<'range-flag'> = ({ proof }, measurement) => {
  const expected = proof ? 'levels as the range flag says' : 'nothing in the levels against the range flag';
  return withVideo(measurement, expected, (video) => {
    const { levels } = measurement;
    const { range } = video.colour;
    const doubt = doubtAbout(measurement, 'levels.looksFullRange');
    if (range === null) {
      return unmeasured(expected, 'the file states no range', 'Have the file state narrow or full range.');
    }
    if (levels === null || doubt !== null) {
      const reason = reasonFor(measurement, 'levels', 'levels.looksFullRange');
      return unmeasured(expected, reason, 'Measure the file again from a decodable copy.');
    }
    const depth = video.bitDepth.declared;
    const seen =
      levels.luma === null
        ? ''
        : `, luma ${level(levels.luma.min, depth)} to ${level(levels.luma.max, depth)}`;
    if (levels.looksFullRange === null) {
      const reason = `flag ${range}${seen}: too little tone to tell the range`;
      const advice = 'Judge a part of the programme with black and white in it.';
      return proof ? unmeasured(expected, reason, advice) : met(expected, reason);
    }
    const looks = levels.looksFullRange ? 'full' : 'narrow';
    return hold(
      looks === range,
      expected,
      `flag ${range}, picture ${looks}${seen}`,
      'Correct the flag if the picture is right, or the levels if the flag is.',
    );
  });
};
