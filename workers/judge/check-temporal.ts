import type { MeasuredTemporal } from '../../jobs/measured-temporal.js';
import type { FrameRange, Measurement } from '../../jobs/measurement.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import { withVideo } from './check-format.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { count, percent } from './figures.js';
import { intersect } from './place.js';
import {
  type Check,
  type CheckWithin,
  doubtful,
  type Limits,
  met,
  missed,
  missedOnlyAt,
  type Ruling,
  unmeasured,
} from './ruling.js';

type TemporalName =
  | 'black-frames'
  | 'freeze-frames'
  | 'duplicate-frames'
  | 'short-shots'
  | 'constant-colour'
  | 'blank-edges';
type Rule<N extends TemporalName> = (
  limits: Limits<N>,
  measurement: Measurement,
  /** The parts of the programme that are judged; null: all of it. */
  parts: readonly FrameRange[] | null,
) => Ruling;

/** A rule as the two checks it serves: of the whole programme, and of parts of it. */
function checks<N extends TemporalName>(
  rule: Rule<N>,
): { readonly check: Check<N>; readonly within: CheckWithin<N> } {
  return {
    check: (limits, measurement) => rule(limits, measurement, null),
    within: (limits, measurement, _, parts) => rule(limits, measurement, parts),
  };
}

export function withTemporal(
  measurement: Measurement,
  expected: string,
  check: (temporal: MeasuredTemporal) => Ruling,
): Ruling {
  return withVideo(measurement, expected, () => {
    const temporal = measurement.temporal ?? null;
    const doubt = doubtAbout(measurement, 'temporal');
    if (temporal !== null && doubt === null) return check(temporal);
    const reason = doubt ?? reasonFor(measurement, 'figures of the picture over time', 'temporal');
    return unmeasured(expected, reason, 'Measure the file again from a decodable copy.');
  });
}

/** The ranges as they lie in the judged parts. */
function clip<R extends FrameRange>(
  measurement: Measurement,
  ranges: readonly R[],
  parts: readonly FrameRange[] | null,
): R[] {
  if (parts === null) return [...ranges];
  return ranges.flatMap((range) =>
    intersect(measurement, [range], parts).map((part) => ({ ...range, ...part })),
  );
}

const lengthOf = ({ from, to }: FrameRange): number => to - from;

interface Places {
  readonly places: number;
  readonly ranges: readonly FrameRange[];
}

/** Rules on the places that miss; a list that is not whole cannot prove that there is none. */
function rulePlaces(
  bad: readonly FrameRange[],
  all: Places,
  words: {
    readonly expected: string;
    readonly what: string;
    readonly none: string;
    readonly advice: string;
    readonly detail?: string;
  },
): Ruling {
  const { expected, what, none, advice, detail } = words;
  const unlisted = all.places - all.ranges.length;
  const at = bad.map(({ from, to, fromTimecode, toTimecode }) => ({ from, to, fromTimecode, toTimecode }));
  if (bad.length === 0) {
    if (unlisted === 0) return met(expected, none);
    const reason = `only the ${all.ranges.length} longest of ${all.places} places are known one by one`;
    return unmeasured(expected, reason, advice);
  }
  const most = Math.max(...bad.map(lengthOf));
  const length = `the longest of ${count(most, 'frame')}`;
  const measured = `${count(bad.length, what)}, ${length}${detail === undefined ? '' : `, ${detail}`}`;
  return unlisted === 0
    ? missedOnlyAt(at, expected, measured, advice)
    : missed(expected, `${measured}, and more`, advice, at);
}

export const blackFrames = checks<'black-frames'>(({ maxFrames, allowAtEnds }, measurement, parts) => {
  const where = allowAtEnds ? ' between the black at head and tail' : '';
  const expected = `${maxFrames === 0 ? 'no black frame' : `black for at most ${count(maxFrames, 'frame')}`}${where}`;
  return withTemporal(measurement, expected, ({ black }) => {
    const frames = measurement.video?.frames ?? 0;
    // A programme that is black from end to end is no leader.
    const atEnd = ({ from, to }: FrameRange): boolean => (from === 0) !== to >= frames;
    const counted = black.ranges.filter((range) => !(allowAtEnds && atEnd(range)));
    const ends = black.ranges.length - counted.length;
    const bad = clip(measurement, counted, parts).filter((range) => lengthOf(range) > maxFrames);
    return rulePlaces(bad, black, {
      expected,
      what: 'black place',
      none:
        black.frames === 0
          ? 'none'
          : `${count(black.frames, 'black frame')}, ${ends} of the places at head or tail`,
      advice: 'Look whether the black is meant; if not, close the gap in the edit.',
      detail: `black is ${percent(black.area)} of the picture at or below ${percent(black.level)}`,
    });
  });
});

export const freezeFrames = checks<'freeze-frames'>(({ seconds }, measurement, parts) => {
  const expected = `no picture that stands still for ${seconds} s or longer`;
  return withTemporal(measurement, expected, ({ freeze }) => {
    const rate = parseRational(measurement.video?.frameRate ?? '');
    const advice = 'Look whether the still is meant; if not, render the shot again.';
    if (rate === null) {
      return unmeasured(expected, 'the file states no frame rate to count seconds by', advice);
    }
    const least = Math.ceil(seconds * toNumber(rate) - 1e-6);
    if (least < freeze.leastFrames) {
      const reason = `freezes are told from ${freeze.leastFrames} frames on, and ${seconds} s are ${least}`;
      return unmeasured(expected, reason, 'Ask for a longer time in the target.');
    }
    const bad = clip(measurement, freeze.ranges, parts).filter((range) => lengthOf(range) >= least);
    return rulePlaces(bad, freeze, {
      expected,
      what: 'freeze',
      none: `none, changes below ${freeze.db} dB counted as still`,
      advice,
      detail: `changes below ${freeze.db} dB`,
    });
  });
});

export const duplicateFrames = checks<'duplicate-frames'>(({ maxFrames, regular }, measurement, parts) => {
  const expected = `${maxFrames === 0 ? 'no frame' : `at most ${count(maxFrames, 'frame')}`} repeated or lost in moving picture${regular ? ', repeats in step aside' : ''}`;
  return withTemporal(measurement, expected, ({ duplicate, missingMotion }) => {
    const inStep = regular ? [] : duplicate.regular.ranges;
    const repeated = clip(measurement, duplicate.ranges, parts);
    const steady = clip(measurement, inStep, parts);
    const lost = clip(measurement, missingMotion.ranges, parts);
    const advice =
      'Compare with the source; conform or convert the rate again where frames were repeated or lost.';
    const listed =
      duplicate.places === duplicate.ranges.length && missingMotion.places === missingMotion.ranges.length;
    const sum = (ranges: readonly FrameRange[]): number =>
      ranges.reduce((all, range) => all + lengthOf(range), 0);
    const [repeats, losses] =
      parts === null ? [duplicate.frames, missingMotion.frames] : [sum(repeated), sum(lost)];
    // Of a stretch in step not every frame repeats, but some do.
    const stretches = steady.length === 0 ? '' : `, repeats in step in ${count(steady.length, 'place')}`;
    const measured = `${count(repeats, 'frame')} repeated, ${losses} lost${stretches}`;
    if (repeats + losses > maxFrames || steady.length > 0) {
      const at = [...repeated, ...steady, ...lost];
      return listed
        ? missedOnlyAt(places(at), expected, measured, advice)
        : missed(expected, measured, advice, places(at));
    }
    return listed || parts === null
      ? met(expected, measured)
      : unmeasured(expected, 'not every place is known one by one', advice);
  });
});

function places(ranges: readonly FrameRange[]): FrameRange[] {
  return ranges.map(({ from, to, fromTimecode, toTimecode }) => ({ from, to, fromTimecode, toTimecode }));
}

export const shortShots = checks<'short-shots'>(({ minFrames }, measurement, parts) => {
  const expected = `no shot of fewer than ${count(minFrames, 'frame')}`;
  return withTemporal(measurement, expected, ({ shortShot }) => {
    const advice = 'Look at the edit; trim away frames that were left over.';
    if (minFrames > shortShot.below) {
      const reason = `shots are told apart only below ${shortShot.below} frames`;
      return unmeasured(expected, reason, `Ask for at most ${shortShot.below} frames in the target.`);
    }
    // A shot is as short as it is, in whichever part it lies.
    const short = shortShot.ranges.filter((range) => lengthOf(range) < minFrames);
    const bad = clip(measurement, short, parts);
    const unclear = clip(measurement, shortShot.unclear.ranges, parts);
    const ruling = rulePlaces(bad, shortShot, {
      expected,
      what: 'short shot',
      none: `none among ${count(shortShot.cuts, 'cut')}`,
      advice,
    });
    if (ruling.outcome !== 'met' || unclear.length === 0) return ruling;
    const measured = `none that is sure; in ${count(unclear.length, 'place')} frame after frame is another picture: shots of one frame, or very fast movement`;
    return { ...doubtful(expected, measured, 'Look at these places.'), at: places(unclear) };
  });
});

export const constantColour = checks<'constant-colour'>(({ maxFrames, tolerance }, measurement, parts) => {
  const length = maxFrames === 0 ? 'no frame' : `at most ${count(maxFrames, 'frame')} in a row`;
  const expected = `${length} of one colour other than black, levels within ${percent(tolerance)}`;
  return withTemporal(measurement, expected, ({ constantColour: flat }) => {
    if (tolerance > flat.level) {
      const reason = `colours are told apart only to ${percent(flat.level)}`;
      return unmeasured(expected, reason, `Ask for at most ${percent(flat.level)} in the target.`);
    }
    const bad = clip(
      measurement,
      flat.ranges.filter(({ spread }) => spread <= tolerance),
      parts,
    ).filter((range) => lengthOf(range) > maxFrames);
    return rulePlaces(bad, flat, {
      expected,
      what: 'place',
      none: 'none',
      advice: 'Look whether the colour is meant; if not, find the media that is missing or not decoded.',
      detail: `over at least ${percent(flat.area)} of the picture`,
    });
  });
});

export const blankEdges = checks<'blank-edges'>(({ maxLines }, measurement, parts) => {
  const expected = `${maxLines === 0 ? 'no black line' : `at most ${count(maxLines, 'black line')}`} at an edge of the picture`;
  return withTemporal(measurement, expected, ({ blankEdge, activePicture }) => {
    const advice = 'Scale or reframe the shot so that it fills the raster.';
    if (activePicture.area === null) {
      return unmeasured(expected, 'the picture is too dark throughout to show its edges', advice);
    }
    const bad = clip(
      measurement,
      blankEdge.ranges.filter(({ lines }) => lines > maxLines),
      parts,
    );
    const sides = [...new Set(bad.map(({ side }) => side))].map((side) => {
      const lines = Math.max(...bad.filter((edge) => edge.side === side).map((edge) => edge.lines));
      return `${side} ${lines}`;
    });
    return rulePlaces(bad, blankEdge, {
      expected,
      what: 'place',
      none: blankEdge.places === 0 ? 'none' : 'none of more lines',
      advice,
      detail: `lines at most: ${sides.join(', ')}`,
    });
  });
});
