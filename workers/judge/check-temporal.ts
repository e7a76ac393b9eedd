import type { MeasuredTemporal } from '../../jobs/measurement/measured-temporal.js';
import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import { framesIn, lengthOf } from '../measure/picture/temporal/frames-in-runs.js';
import { count, percent } from './figures.js';
import { inParts, partsChecks, withSection } from './parts-rule.js';
import { plainRange } from './place.js';
import { doubtful, met, missed, missedOnlyAt, type Ruling, unmeasured } from './ruling.js';

export function withTemporal(
  measurement: Measurement,
  expected: string,
  rule: (temporal: MeasuredTemporal) => Ruling,
): Ruling {
  return withSection(measurement, 'temporal', 'figures of the picture over time', expected, rule);
}

/** Frames are not all shown for the same time, so that a number of them says little of how long. */
function isUneven({ video }: Measurement): boolean {
  return video?.constantRate === false;
}

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
  const at = bad.map(plainRange);
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

export const blackFrames = partsChecks<'black-frames'>(({ maxFrames, allowAtEnds }, measurement, parts) => {
  const where = allowAtEnds ? ' between the black at head and tail' : '';
  const expected = `${maxFrames === 0 ? 'no black frame' : `black for at most ${count(maxFrames, 'frame')}`}${where}`;
  return withTemporal(measurement, expected, ({ black }) => {
    const frames = measurement.video?.frames ?? 0;
    // A programme that is black from end to end is no leader.
    const atEnd = ({ from, to }: FrameRange): boolean => (from === 0) !== to >= frames;
    const counted = black.ranges.filter((range) => !(allowAtEnds && atEnd(range)));
    const ends = black.ranges.length - counted.length;
    const bad = inParts(measurement, counted, parts).filter((range) => lengthOf(range) > maxFrames);
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

export const freezeFrames = partsChecks<'freeze-frames'>(({ seconds }, measurement, parts) => {
  const expected = `no picture that stands still for ${seconds} s or longer`;
  return withTemporal(measurement, expected, ({ freeze }) => {
    const rate = parseRational(measurement.video?.frameRate ?? '');
    const advice = 'Look whether the still is meant; if not, render the shot again.';
    if (rate === null) {
      return unmeasured(expected, 'the file states no frame rate to count seconds by', advice);
    }
    if (isUneven(measurement)) {
      const reason = 'frames of uneven length: one may stand as long as a freeze';
      return unmeasured(expected, reason, 'Conform it to a constant rate, and check it again.');
    }
    const least = Math.ceil(seconds * toNumber(rate) - 1e-6);
    if (least < freeze.leastFrames) {
      const reason = `freezes are told from ${freeze.leastFrames} frames on, and ${seconds} s are ${least}`;
      return unmeasured(expected, reason, 'Ask for a longer time in the target.');
    }
    const bad = inParts(measurement, freeze.ranges, parts).filter((range) => lengthOf(range) >= least);
    return rulePlaces(bad, freeze, {
      expected,
      what: 'freeze',
      none: `none, changes below ${freeze.db} dB counted as still`,
      advice,
      detail: `changes below ${freeze.db} dB`,
    });
  });
});

export const duplicateFrames = partsChecks<'duplicate-frames'>(
  ({ maxFrames, regular }, measurement, parts) => {
    const expected = `${maxFrames === 0 ? 'no frame' : `at most ${count(maxFrames, 'frame')}`} repeated or lost in moving picture${regular ? ', repeats in step aside' : ''}`;
    return withTemporal(measurement, expected, ({ duplicate, missingMotion }) => {
      const inStep = regular ? [] : duplicate.regular.ranges;
      const repeated = inParts(measurement, duplicate.ranges, parts);
      const steady = inParts(measurement, inStep, parts);
      const lost = inParts(measurement, missingMotion.ranges, parts);
      const advice =
        'Compare with the source; conform or convert the rate again where frames were repeated or lost.';
      const listed =
        duplicate.places === duplicate.ranges.length && missingMotion.places === missingMotion.ranges.length;
      const [repeats, losses] =
        parts === null ? [duplicate.frames, missingMotion.frames] : [framesIn(repeated), framesIn(lost)];
      // Of a stretch in step not every frame repeats, but some do.
      const stretches = steady.length === 0 ? '' : `, repeats in step in ${count(steady.length, 'place')}`;
      const measured = `${count(repeats, 'frame')} repeated, ${losses} lost${stretches}`;
      if (repeats + losses > maxFrames || steady.length > 0) {
        const at = [...repeated, ...steady, ...lost].map(plainRange);
        return listed ? missedOnlyAt(at, expected, measured, advice) : missed(expected, measured, advice, at);
      }
      return listed || parts === null
        ? met(expected, measured)
        : unmeasured(expected, 'not every place is known one by one', advice);
    });
  },
);

export const shortShots = partsChecks<'short-shots'>(({ minFrames }, measurement, parts) => {
  const expected = `no shot of fewer than ${count(minFrames, 'frame')}`;
  return withTemporal(measurement, expected, ({ shortShot }) => {
    const advice = 'Look at the edit; trim away frames that were left over.';
    if (minFrames > shortShot.below) {
      const reason = `shots are told apart only below ${shortShot.below} frames`;
      return unmeasured(expected, reason, `Ask for at most ${shortShot.below} frames in the target.`);
    }
    // A shot is as short as it is, in whichever part it lies.
    const short = shortShot.ranges.filter((range) => lengthOf(range) < minFrames);
    const bad = inParts(measurement, short, parts);
    const unclear = inParts(measurement, shortShot.unclear.ranges, parts);
    if (bad.length > 0 && isUneven(measurement)) {
      const reason = `${count(bad.length, 'shot')} of few frames, but frames of uneven length`;
      return unmeasured(expected, reason, advice);
    }
    const ruling = rulePlaces(bad, shortShot, {
      expected,
      what: 'short shot',
      none: `none among ${count(shortShot.cuts, 'cut')}`,
      advice,
    });
    if (ruling.outcome !== 'met' || unclear.length === 0) return ruling;
    const measured = `none that is sure; in ${count(unclear.length, 'place')} pictures change too fast to tell short shots from movement`;
    return { ...doubtful(expected, measured, 'Look at these places.'), at: unclear.map(plainRange) };
  });
});

export const constantColour = partsChecks<'constant-colour'>(
  ({ maxFrames, tolerance }, measurement, parts) => {
    const length = maxFrames === 0 ? 'no frame' : `at most ${count(maxFrames, 'frame')} in a row`;
    const expected = `${length} of one colour other than black, levels within ${percent(tolerance)}`;
    return withTemporal(measurement, expected, ({ constantColour: flat }) => {
      if (tolerance > flat.level) {
        const reason = `colours are told apart only to ${percent(flat.level)}`;
        return unmeasured(expected, reason, `Ask for at most ${percent(flat.level)} in the target.`);
      }
      const bad = inParts(
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
  },
);

export const blankEdges = partsChecks<'blank-edges'>(({ maxLines }, measurement, parts) => {
  const expected = `${maxLines === 0 ? 'no black line' : `at most ${count(maxLines, 'black line')}`} at an edge of the picture`;
  return withTemporal(measurement, expected, ({ blankEdge, activePicture }) => {
    const advice = 'Scale or reframe the shot so that it fills the raster.';
    if (activePicture.area === null) {
      return unmeasured(expected, 'the picture is too dark throughout to show its edges', advice);
    }
    const bad = inParts(
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
