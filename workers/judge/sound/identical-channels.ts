import { quantity } from '../../../jobs/words/quantities.js';
import { channelName, pairName } from '../../measure/sound/sound-events.js';
import { onEachContent } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';
import { pairsNotStated, STATE_LAYOUT } from './left-and-right.js';

export const requirement = defineRequirement('identical-channels', {
  title: 'Identical channels',
  why: 'Mono on two channels is not the stereo that was ordered, or one channel is missing.',
  expected: ({ sideBelow }) => {
    const near =
      sideBelow === undefined
        ? ''
        : `, nor left and right with a difference ${-sideBelow} dB below their sum`;
    return `no two channels identical to the last bit${near}`;
  },
  advice: 'Check the routing of the mix: one channel was used twice.',
  rule: onEachContent(({ sideBelow }, content, one) => {
    const { identical, pairs } = content;
    const name = (channel: number): string => channelName(content, channel);
    const same = identical.map(({ first, second }) => `${name(first)} and ${name(second)} are identical`);
    const alike = (pairs ?? [])
      .filter(({ left, right }) => !identical.some((i) => i.first === left && i.second === right))
      .filter(({ sideToMidDb }) => sideBelow !== undefined && sideToMidDb !== null && sideToMidDb < sideBelow)
      .map((pair) => `${pairName(content, pair)} differ by ${quantity(pair.sideToMidDb, 'dB')}`);
    const found = [...same, ...alike];
    if (found.length > 0) return missed(found.join(', '));
    if (sideBelow !== undefined && pairs === null) return unmeasured(pairsNotStated(one), STATE_LAYOUT);
    if (one.stream.channels === 1 && one.measurement.audio.length > 1) {
      const reason = 'one of several mono streams, which are not compared with each other';
      return unmeasured(reason, 'Measure the channels as one stream.');
    }
    return met('none');
  }),
});
