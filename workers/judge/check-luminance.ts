import type { HdrStaticMetadata } from '../../jobs/manifest/colour.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { gamut } from '../../signal/gamut/gamuts.js';
import { highestAllowedNits, peakLimitCode } from '../../signal/peak-limit.js';
import { PQ_PEAK_NITS } from '../../signal/transfer/pq.js';
import { judgeParts, type LargestFigure, missedSomewhere } from './curve-places.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { nits, oneOf, percent } from './figures.js';
import { framesAt } from './place.js';
import {
  type Check,
  type CheckWithin,
  doubtful,
  hold,
  type Limits,
  met,
  missed,
  type Ruling,
  unmeasured,
} from './ruling.js';

type Luminance = NonNullable<Measurement['luminance']>;

/** CTA-861.3: levels differing by less are the same, since metadata carries whole cd/m2. */
const LEAST_TOLERANCE_NITS = 1;
/** ST 2086 writes chromaticities in steps of 0.00002; others round to three digits. */
const CHROMATICITY_TOLERANCE = 0.001;

function withLuminance(
  measurement: Measurement,
  subject: string,
  expected: string,
  check: (luminance: Luminance) => Ruling,
): Ruling {
  const { luminance } = measurement;
  const doubt = doubtAbout(measurement, subject);
  if (luminance !== null && doubt === null) return check(luminance);
  const reason =
    doubt ?? reasonFor(measurement, 'luminance: the picture is not known to be PQ or HLG', subject);
  return unmeasured(expected, reason, 'Have the file state its transfer function, then measure it again.');
}

function forDisplay({ displayPeak }: Luminance): string {
  return displayPeak === null ? '' : ` on a display of ${nits(displayPeak)}`;
}

/** The limit as the nearest code of the depth has it, plus the tolerance asked for. */
function peakFigure(
  { max, tolerance = 0 }: Limits<'peak-luminance'>,
  measurement: Measurement,
): LargestFigure {
  const depth = measurement.video?.bitDepth.declared ?? 10;
  const code = peakLimitCode(max, depth);
  const more = tolerance === 0 ? '' : ` and ${percent(tolerance)} more`;
  const { picture } = measurement.curves;
  return {
    limit: highestAllowedNits(max, depth, tolerance),
    curve: picture?.light ? { points: picture.light.max, framesPerPoint: picture.framesPerPoint } : null,
    worstFrame: measurement.luminance?.maxCllFrame ?? null,
    expected: `max(R,G,B) at most ${nits(max)}${more} (PQ code ${code} at ${depth} bits)`,
    advice: 'Bring the highlights down in the grade.',
  };
}

function peakMeasured(luminance: Luminance): string {
  const { maxCll, maxCllFrame, p9999 } = luminance;
  return `${nits(maxCll)} in frame ${maxCllFrame}, 99.99 % below ${nits(p9999)}${forDisplay(luminance)}`;
}

export const peakLuminance: Check<'peak-luminance'> = (limits, measurement) => {
  const figure = peakFigure(limits, measurement);
  return withLuminance(measurement, 'luminance.maxCll', figure.expected, (luminance) => {
    const measured = peakMeasured(luminance);
    if (luminance.maxCll <= figure.limit) return met(figure.expected, measured);
    return missedSomewhere(measurement, measured, figure);
  });
};

export const peakLuminanceWithin: CheckWithin<'peak-luminance'> = (limits, measurement, _, parts) => {
  const figure = peakFigure(limits, measurement);
  return withLuminance(measurement, 'luminance.maxCll', figure.expected, (luminance) =>
    judgeParts(measurement, `${peakMeasured(luminance)} (whole file)`, figure, parts),
  );
};

export const lightLevel: Check<'light-level'> = ({ tolerance }, measurement) => {
  const expected = `MaxCLL and MaxFALL stated, true within ${percent(tolerance)} or 1 cd/m², CTA-861.3`;
  const stated = measurement.hdr.lightLevel;
  if (stated === null || stated.maxCll === 0 || stated.maxFall === 0) {
    const what =
      stated === null ? 'not stated' : `MaxCLL ${stated.maxCll}, MaxFALL ${stated.maxFall}: 0 means unknown`;
    return missed(expected, what, 'Write the measured MaxCLL and MaxFALL into the file.');
  }
  return withLuminance(measurement, 'luminance', expected, (luminance) => {
    const { maxCll, maxFall } = luminance;
    const near = (said: number, is: number): boolean =>
      Math.abs(said - is) <= Math.max(tolerance * is, LEAST_TOLERANCE_NITS) + 1e-9;
    const inOrder = stated.maxFall <= stated.maxCll && stated.maxCll <= PQ_PEAK_NITS;
    const measured =
      `MaxCLL ${stated.maxCll} stated, ${nits(maxCll)} measured; ` +
      `MaxFALL ${stated.maxFall} stated, ${nits(maxFall)} measured${forDisplay(luminance)}`;
    const holds = inOrder && near(stated.maxCll, maxCll) && near(stated.maxFall, maxFall);
    return hold(holds, expected, measured, 'Write the measured MaxCLL and MaxFALL into the file.');
  });
};

export const masteringDisplay: Check<'mastering-display'> = ({ primaries, maxLuminance }, measurement) => {
  const peak = maxLuminance === undefined ? '' : `, at most ${nits(maxLuminance)}`;
  const expected = `mastering display stated (SMPTE ST 2086), ${oneOf(primaries)}${peak}`;
  const { mastering } = measurement.hdr;
  const advice = 'Write the display the picture was graded on into the file.';
  if (mastering === null) return missed(expected, 'not stated', advice);
  const named = primaries.find((name) => sameDisplay(mastering, name));
  const { minLuminance, maxLuminance: statedPeak } = mastering;
  const measured = `${named ?? 'other primaries or white'}, ${minLuminance} to ${nits(statedPeak)}`;
  const inOrder = statedPeak > minLuminance;
  const belowPeak = maxLuminance === undefined || statedPeak <= maxLuminance;
  if (named === undefined || !inOrder || !belowPeak) return missed(expected, measured, advice);
  if (minLuminance === 0)
    return doubtful(expected, measured, 'A darkest level of 0 means unknown: state the display’s own.');
  return met(expected, measured);
};

function sameDisplay(
  mastering: NonNullable<HdrStaticMetadata['mastering']>,
  name: 'bt709' | 'smpte432' | 'bt2020',
): boolean {
  const volume = gamut(name);
  return (['red', 'green', 'blue', 'white'] as const).every((corner) =>
    mastering[corner].every(
      (value, i) => Math.abs(value - (volume[corner][i] ?? 0)) <= CHROMATICITY_TOLERANCE,
    ),
  );
}

function outsideP3Wanted(maxArea: number): string {
  return `at most ${percent(maxArea)} of the picture outside P3-D65`;
}

const INTO_P3 = 'Bring the colours inside P3-D65 in the grade.';

export const outsideP3: Check<'outside-p3'> = ({ maxArea }, measurement) => {
  const expected = outsideP3Wanted(maxArea);
  return withLuminance(measurement, 'luminance.outsideP3', expected, ({ outsideP3: outside }) => {
    if (outside === null) {
      const reason = reasonFor(measurement, 'area outside P3-D65', 'luminance.outsideP3');
      return unmeasured(expected, reason, 'Measure a file with BT.2020 primaries.');
    }
    const { worstFrame, worstArea } = outside;
    const measured = `${percent(worstArea)}${worstFrame === null ? '' : `, worst in frame ${worstFrame}`}`;
    if (worstArea <= maxArea) return met(expected, measured);
    const at = worstFrame === null ? [] : [framesAt(measurement, worstFrame, worstFrame + 1)];
    return missed(expected, measured, INTO_P3, at);
  });
};

export const outsideP3Within: CheckWithin<'outside-p3'> = ({ maxArea }, measurement, _, parts) => {
  const outside = measurement.luminance?.outsideP3 ?? null;
  return judgeParts(
    measurement,
    outside === null ? 'not known' : percent(outside.worstArea),
    {
      limit: maxArea,
      curve: null,
      worstFrame: outside?.worstFrame ?? null,
      expected: outsideP3Wanted(maxArea),
      advice: INTO_P3,
    },
    parts,
  );
};
