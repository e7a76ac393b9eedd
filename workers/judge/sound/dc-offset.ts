import { percent } from '../../../jobs/words/quantities.js';
import { channelName } from '../../measure/sound/sound-events.js';
import { onEachContent } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { metIf } from '../ruling.js';

export const requirement = defineRequirement('dc-offset', {
  title: 'DC offset of the sound',
  why: 'An offset reduces headroom and clicks at every cut.',
  expected: ({ max }) => `mean of each channel within ${percent(max)} of full scale`,
  advice: 'Remove the offset with a high-pass filter before the last normalisation.',
  rule: onEachContent(({ max }, content) => {
    const offsets = content.channels.map(({ dcOffset: mean }, channel) => ({ channel, mean: mean ?? 0 }));
    const worst = offsets.reduce((most, each) => (Math.abs(each.mean) > Math.abs(most.mean) ? each : most));
    const measured = `${channelName(content, worst.channel)} ${percent(worst.mean)}`;
    return metIf(Math.abs(worst.mean) <= max * (1 + 1e-9), measured);
  }),
});
