import type { Measurement } from '../../jobs/measurement/measurement.js';
import { withVideo } from './check-format.js';
import { reasonFor } from './doubt.js';
import { count } from './figures.js';
import { type Check, hold, met, missed, type Ruling, unmeasured, worstOf } from './ruling.js';

type Coding = NonNullable<Measurement['coding']>;

/** Runs `check` on the coded picture; unmeasured where its packets could not be listed. */
function withCoding(
  measurement: Measurement,
  expected: string,
  check: (coding: Coding, frames: number) => Ruling,
): Ruling {
  return withVideo(measurement, expected, ({ frames }) =>
    measurement.coding === null
      ? unmeasured(
          expected,
          reasonFor(measurement, 'packets', 'coding'),
          'Measure the file again from a whole copy.',
        )
      : check(measurement.coding, frames),
  );
}

export const gop: Check<'gop'> = (limits, measurement) => {
  const expected = [
    limits.intraOnly ? 'intra pictures only' : '',
    limits.maxLength === undefined ? '' : `at most ${count(limits.maxLength, 'frame')} from key to key`,
    limits.constant ? 'all groups of one length' : '',
    limits.closed ? 'closed groups' : '',
    'key frames as the container marks them',
  ]
    .filter((part) => part !== '')
    .join(', ');
  return withCoding(measurement, expected, ({ intraOnly, keyFrames, packets, gop: groups }, frames) => {
    const advice = 'Encode the picture again with these groups.';
    const unknown = (what: string): Ruling => unmeasured(expected, what, advice);
    const rulings: Ruling[] = [];
    if (limits.intraOnly) {
      rulings.push(
        intraOnly === null
          ? unknown('the decoder does not tell the kinds of pictures')
          : hold(intraOnly, expected, intraOnly ? 'intra pictures only' : 'predicted pictures', advice),
      );
    }
    const asksGroups = limits.maxLength !== undefined || limits.constant || limits.closed;
    // Groups are counted by the container's marks: without the decoder's word they are no more than a header.
    if (asksGroups && frames !== packets) {
      rulings.push(
        unknown(`${frames} frames came of ${packets} packets: the marks cannot be held against them`),
      );
    }
    if (limits.maxLength !== undefined) {
      rulings.push(
        groups === null
          ? unknown('no key frame is marked')
          : hold(
              groups.longest <= limits.maxLength,
              expected,
              `${count(groups.longest, 'frame')} at most from key to key`,
              advice,
            ),
      );
    }
    if (limits.constant) rulings.push(constantRuling(expected, groups, advice));
    if (limits.closed) {
      const closed = groups?.closed ?? null;
      rulings.push(
        closed === null
          ? unknown('whether pictures lean on the group before cannot be told')
          : hold(
              closed,
              expected,
              closed ? 'closed groups' : 'open groups: pictures lean on the group before',
              advice,
            ),
      );
    }
    if (frames === packets) rulings.push(keyRuling(expected, keyFrames));
    const [first, ...others] = rulings;
    return first === undefined
      ? unknown(`${frames} frames came of ${packets} packets: the marks cannot be held against them`)
      : worstOf([first, ...others]);
  });
};

/** The last group may be cut short by the end of the programme. */
function constantRuling(expected: string, groups: Coding['gop'], advice: string): Ruling {
  if (groups === null || groups.shortest === null) {
    return unmeasured(expected, 'fewer than two groups', advice);
  }
  const constant = groups.shortest === groups.longest;
  const measured = constant
    ? `groups of ${groups.longest}`
    : `groups of ${groups.shortest} to ${groups.longest} frames`;
  return hold(constant, expected, measured, advice);
}

/**
 * A table may mark fewer key frames than a decoder knows (ISO/IEC 14496-15 has only some of them marked), never more: a player
 * that seeks to one that is none shows garbage.
 */
function keyRuling(expected: string, { container, bitstream }: Coding['keyFrames']): Ruling {
  if (container === null || bitstream === null) {
    const advice = 'Judge the groups on a stream whose decoder tells its key frames.';
    return unmeasured(expected, 'the decoder does not tell its key frames', advice);
  }
  const measured = `${count(container, 'key frame')} marked, ${bitstream} decoded as such`;
  return container <= bitstream
    ? met(expected, measured)
    : missed(expected, measured, 'Wrap the stream again: its table of key frames is wrong.');
}

export const bitRate: Check<'bit-rate'> = ({ minMean, maxMean, maxPeak }, measurement) => {
  const range = [
    minMean === undefined ? '' : `at least ${megabits(minMean)}`,
    maxMean === undefined ? '' : `at most ${megabits(maxMean)}`,
  ].filter((part) => part !== '');
  const expected = [
    range.length === 0 ? '' : `${range.join(' and ')} on average`,
    maxPeak === undefined ? '' : `at most ${megabits(maxPeak)} in any second`,
  ]
    .filter((part) => part !== '')
    .join(', ');
  if (expected === '') {
    const advice = 'Give the target minMean, maxMean or maxPeak, in bits a second.';
    return unmeasured('a bit rate within limits', 'the target sets none', advice);
  }
  return withCoding(measurement, expected, ({ bitRate: rate }) => {
    const advice = 'Encode the picture again within these bit rates.';
    if (rate === null) return unmeasured(expected, 'the packets carry no times to tell by', advice);
    if (maxPeak !== undefined && rate.peak === null) {
      return unmeasured(expected, 'the file is shorter than a second', advice);
    }
    const holds =
      (minMean === undefined || rate.mean >= minMean) &&
      (maxMean === undefined || rate.mean <= maxMean) &&
      (maxPeak === undefined || (rate.peak ?? 0) <= maxPeak);
    const peak = rate.peak === null ? '' : `, ${megabits(rate.peak)} in the fullest second`;
    return hold(holds, expected, `${megabits(rate.mean)} on average${peak}`, advice);
  });
};

function megabits(bits: number): string {
  return `${Number((bits / 1e6).toPrecision(4))} Mbit/s`;
}
