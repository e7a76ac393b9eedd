import { count } from '../../../jobs/words/numbers.js';
import { pairName } from '../../measure/sound/sound-events.js';
import { onEachContent } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { met, unmeasured } from '../ruling.js';
import { pairsNotStated, STATE_LAYOUT, withoutPair } from './left-and-right.js';
import { ruleOnRuns } from './runs-of-sound.js';

export const requirement = defineRequirement('channel-phase', {
  title: 'Phase of left and right',
  why: 'Channels out of phase cancel the centre, and dialogue with it, wherever they are added.',
  expected: ({ below, maxSeconds }) =>
    `correlation of left and right below ${below} for at most ${maxSeconds} s, windows of 400 ms`,
  advice: 'Listen there in mono, quietly at first: if sound vanishes, invert the polarity of one channel.',
  rule: onEachContent(({ below, maxSeconds, proof }, content, one) => {
    const { pairs } = content;
    if (pairs === null) {
      const reason = pairsNotStated(one);
      return proof ? unmeasured(reason, STATE_LAYOUT) : met(`not checked: ${reason}`);
    }
    if (pairs.length === 0) {
      const channels = count(one.stream.channels, 'channel');
      return proof ? withoutPair(one) : met(`not checked: ${channels}, no left and right in one stream`);
    }
    const known = pairs.flatMap((pair) =>
      pair.outOfPhase
        .filter((level) => level.below === below)
        .map((level) => ({ ...level, name: pairName(content, pair) })),
    );
    return known.length === 0
      ? unmeasured('the measurement does not include this correlation')
      : ruleOnRuns(one, maxSeconds, known);
  }),
  within: 'rule',
});
