import { count } from '../../../jobs/words/numbers.js';
import { defineRequirement } from '../requirement.js';
import { hold, met, missed, type Ruling, unmeasured } from '../ruling.js';
import { type Coding, onCoding } from './coded-picture.js';

export const requirement = defineRequirement('gop', {
  title: 'Group of pictures',
  why: 'Cutting and seeking happen at key frames, and open groups break there.',
  expected: ({ intraOnly, maxLength, constant, closed }) =>
    [
      intraOnly ? 'intra pictures only' : '',
      maxLength === undefined ? '' : `at most ${count(maxLength, 'frame')} from key to key`,
      constant ? 'all groups of one length' : '',
      closed ? 'closed groups' : '',
      'key frames as the container marks them',
    ]
      .filter((part) => part !== '')
      .join(', '),
  advice: 'Encode the picture again with these groups.',
  rule: onCoding((limits, { intraOnly, keyFrames, packets, gop: groups }, { frames }) => {
    const asksGroups = limits.maxLength !== undefined || limits.constant || limits.closed;
    const notHeld = unmeasured(
      `${count(frames, 'frame')} came of ${count(packets, 'packet')}: the marks cannot be held against them`,
    );
    const rulings = [
      ...(limits.intraOnly ? [intraRuling(intraOnly)] : []),
      // Groups are counted by the container's marks: without the decoder's word they are no more than a
      // header.
      ...(asksGroups && frames !== packets ? [notHeld] : []),
      ...(limits.maxLength === undefined ? [] : [lengthRuling(groups, limits.maxLength)]),
      ...(limits.constant ? [constantRuling(groups)] : []),
      ...(limits.closed ? [closedRuling(groups)] : []),
      ...(frames === packets ? [keyRuling(keyFrames)] : []),
    ];
    return rulings.length === 0 ? notHeld : rulings;
  }),
});

function intraRuling(intraOnly: Coding['intraOnly']): Ruling {
  if (intraOnly === null) return unmeasured('the decoder does not tell the kinds of pictures');
  return hold(intraOnly, intraOnly ? 'intra pictures only' : 'predicted pictures');
}

function lengthRuling(groups: Coding['gop'], maxLength: number): Ruling {
  if (groups === null) return unmeasured('no key frame is marked');
  return hold(groups.longest <= maxLength, `${count(groups.longest, 'frame')} at most from key to key`);
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
  if (closed === null) return unmeasured('whether pictures lean on the group before cannot be told');
  return hold(closed, closed ? 'closed groups' : 'open groups: pictures lean on the group before');
}

/**
 * A table may mark fewer key frames than a decoder knows (ISO/IEC 14496-15 has only some of them marked),
 * never more: a player that seeks to one that is none shows garbage.
 */
function keyRuling({ container, bitstream }: Coding['keyFrames']): Ruling {
  if (container === null || bitstream === null) {
    const advice = 'Judge the groups on a stream whose decoder tells its key frames.';
    return unmeasured('the decoder does not tell its key frames', advice);
  }
  return hold(
    container <= bitstream,
    `${count(container, 'key frame')} marked, ${bitstream} decoded as such`,
    'Wrap the stream again: its table of key frames is wrong.',
  );
}
