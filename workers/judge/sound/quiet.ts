import type { QuietRuns, SoundContent } from '../../../jobs/measurement/measured-sound.js';
import { channelName } from '../../measure/sound/sound-events.js';
import { onEachContent } from '../on-sound.js';
import type { Rule } from '../requirement.js';
import { unmeasured } from '../ruling.js';
import { type KnownRuns, ruleOnRuns } from './runs-of-sound.js';

/** The longest silence allowed. */
export interface QuietAllowed {
  /** dBFS of the sample magnitude; null: every sample zero. */
  readonly below: number | null;
  readonly maxSeconds: number;
  readonly of: 'programme' | 'channel';
}

export function quietWords({ below, maxSeconds, of }: QuietAllowed): string {
  const whose = of === 'programme' ? 'all channels' : 'any channel';
  return `${whose} ${below === null ? 'at zero' : `at or below ${below} dBFS`} for at most ${maxSeconds} s`;
}

export const LISTEN = 'Listen there, quietly at first: if sound is missing, make it again from the mix.';

export const ruleOnQuiet: Rule<QuietAllowed> = onEachContent(({ below, maxSeconds, of }, content, one) => {
  const known = quietOf(content, below, of);
  return known.length === 0
    ? unmeasured('the measurement does not include this level')
    : ruleOnRuns(one, maxSeconds, known);
});

/** Quiet runs of the whole stream, or of each channel; none where this level was not measured. */
function quietOf(content: SoundContent, below: number | null, of: 'programme' | 'channel'): KnownRuns[] {
  const at = (quiet: readonly QuietRuns[], name: string): KnownRuns[] =>
    quiet.filter((level) => level.below === below).map((level) => ({ ...level, name }));
  if (of === 'programme') return at(content.quiet, 'all channels');
  return content.channels.flatMap(({ quiet, speaker }, channel) =>
    // The LFE is silent most of the time.
    speaker?.startsWith('LFE') ? [] : at(quiet, channelName(content, channel)),
  );
}
