import { quantity } from '../../../jobs/words/quantities.js';
import { pairName } from '../../measure/sound/sound-events.js';
import { onEachContent } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, unmeasured } from '../ruling.js';
import { pairsNotStated, STATE_LAYOUT, withoutPair } from './left-and-right.js';
import { ROUNDING_DB } from './programme-loudness.js';

export const requirement = defineRequirement('mono-fold-down', {
  title: 'Fold-down to mono',
  why: 'Part of the audience hears both channels added, from one loudspeaker.',
  expected: ({ maxLoss }) => `left and right lose at most ${maxLoss} dB when added to mono`,
  advice: 'Listen in mono, quietly at first: if sound vanishes, look for a channel with inverted polarity.',
  rule: onEachContent(({ maxLoss }, content, one) => {
    if (content.pairs === null) return unmeasured(pairsNotStated(one), STATE_LAYOUT);
    if (content.pairs.length === 0) return withoutPair(one);
    const losses = content.pairs.flatMap((pair) =>
      pair.foldDownLossDb === null ? [] : [{ pair, loss: pair.foldDownLossDb }],
    );
    const worst = losses.reduce<(typeof losses)[number] | null>(
      (most, each) => (most === null || each.loss > most.loss ? each : most),
      null,
    );
    if (worst === null) return met('silence');
    const measured = `${pairName(content, worst.pair)} lose ${quantity(worst.loss, 'dB')}`;
    return metIf(worst.loss <= maxLoss + ROUNDING_DB, measured);
  }),
});
