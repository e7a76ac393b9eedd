import { quantity } from '../../../jobs/words/quantities.js';
import { channelName } from '../../measure/sound/sound-events.js';
import { onEachContent } from '../on-sound.js';
import { defineRequirement } from '../requirement.js';
import { metIf } from '../ruling.js';
import { ROUNDING_DB } from './programme-loudness.js';

export const requirement = defineRequirement('line-up-tone', {
  title: 'Line-up tone',
  why: 'The receiver of the programme sets the level by this tone.',
  expected: ({ level, tolerance }) =>
    `1 kHz at ${level} dBFS within ${tolerance} dB, for a second or more in the first two minutes`,
  advice: 'Make the line-up again: with a wrong tone the programme plays at a wrong level.',
  rule: onEachContent(({ level, tolerance }, content) => {
    const tones = content.channels
      .map(({ tone, speaker }, channel) => ({ tone, speaker, name: channelName(content, channel) }))
      .filter(({ speaker }) => !speaker?.startsWith('LFE'));
    const holds = tones.every(
      ({ tone }) => tone !== null && Math.abs(tone.levelDbfs - level) <= tolerance + ROUNDING_DB,
    );
    const measured = tones
      .map(({ tone, name }) => `${name} ${quantity(tone?.levelDbfs ?? null, 'dBFS')}`)
      .join(', ');
    return metIf(holds && tones.length > 0, measured);
  }),
});
