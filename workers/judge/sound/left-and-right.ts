import { count } from '../../../jobs/words/numbers.js';
import type { OneStream } from '../on-sound.js';
import { met, type Ruling, unmeasured } from '../ruling.js';

export const STATE_LAYOUT = 'Write the channel layout into the file.';

/** Why it is not known which channels of a stream are left and right. */
export function pairsNotStated({ stream }: OneStream): string {
  return `the file does not declare which of the ${stream.channels} channels are left and right`;
}

/**
 * A single mono stream has no phase between channels; of several mono streams it is not known which belong
 * together.
 */
export function withoutPair({ measurement, stream }: OneStream): Ruling {
  if (measurement.audio.length === 1) return met(`${count(stream.channels, 'channel')}, no left and right`);
  const reason = 'one of several streams without left and right channels';
  return unmeasured(reason, 'Measure left and right as one stream with its channel layout.');
}
