import { count } from '../../../jobs/words/numbers.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, type Ruling, unmeasured } from '../ruling.js';
import { type Coding, onCoding } from './coded-picture.js';

export const requirement = defineRequirement('gop', {
  title: 'Group of pictures',
  why: 'Players seek and editors cut at key frames; open groups show damage there.',
  expected: ({ intraOnly, maxLength, constant, closed }) =>
    [
      intraOnly ? 'intra pictures only' : '',
      maxLength === undefined ? '' : `at most ${count(maxLength, 'frame')} from key to key`,
      constant ? 'all groups of the same length' : '',
      closed ? 'closed groups' : '',
      'key frames where the container marks them',
    ]
      .filter((part) => part !== '')
      .join(', '),
  advice: 'Encode the picture again with the expected groups of pictures.',
  rule: onCoding((limits, { intraOnly, keyFrames, packets, gop: groups }, { frames }) => {
    const limitsGroups = limits.maxLength !== undefined || limits.constant || limits.closed;
    const notComparable = unmeasured(
      `${count(frames, 'frame')} from ${count(packets, 'packet')}: key frame marks cannot be compared with the frames`,
    );
    const rulings = [
      ...(limits.intraOnly ? [intraRuling(intraOnly)] : []),
      // Groups are counted by the marks of the container, which are only declared until the decoder confirms
      // them.
      ...(limitsGroups && frames !== packets ? [notComparable] : []),
      ...(limits.maxLength === undefined ? [] : [lengthRuling(groups, limits.maxLength)]),
      ...(limits.constant ? [constantRuling(groups)] : []),
      ...(limits.closed ? [closedRuling(groups)] : []),
      ...(frames === packets ? [keyRuling(keyFrames)] : []),
    ];
    return rulings.length === 0 ? notComparable : rulings;
  }),
});

function intraRuling(intraOnly: Coding['intraOnly']): Ruling {
  if (intraOnly === null) return unmeasured('the decoder does not report picture types');
  return metIf(intraOnly, intraOnly ? 'intra pictures only' : 'predicted pictures');
}

function lengthRuling(groups: Coding['gop'], maxLength: number): Ruling {
  if (groups === null) return unmeasured('no key frame is marked');
  return metIf(groups.longest <= maxLength, `${count(groups.longest, 'frame')} at most from key to key`);
}

/** The last group may be cut short by the end of the programme. */
function constantRuling(groups: Coding['gop']): Ruling {
  if (groups === null || groups.shortest === null) return unmeasured('fewer than two groups');
  return groups.shortest === groups.longest
    ? met(`groups of ${groups.longest}`)
    : missed(`groups of ${groups.shortest} to ${count(groups.longest, 'frame')}`);
}

function closedRuling(groups: Coding['gop']): Ruling {
  const closed = groups?.closed ?? null;
  if (closed === null) return unmeasured('whether pictures refer to the previous group is not known');
  return metIf(closed, closed ? 'closed groups' : 'open groups: pictures refer to the previous group');
}

/**
 * A table may mark fewer key frames than the decoder finds (ISO/IEC 14496-15 marks only some), never more: a
 * player that seeks to a marked frame that is no key frame shows garbage.
 */
function keyRuling({ container, bitstream }: Coding['keyFrames']): Ruling {
  if (container === null || bitstream === null) {
    const advice = 'Check the groups on a stream whose decoder reports key frames.';
    return unmeasured('the decoder does not report key frames', advice);
  }
  return metIf(
    container <= bitstream,
    `${count(container, 'key frame')} marked, ${bitstream} decoded as such`,
    'Wrap the stream again: its table of key frames is wrong.',
  );
}
