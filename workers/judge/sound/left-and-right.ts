import { count } from '../../../jobs/words/numbers.js';
import type { OneStream } from '../on-sound.js';
import { met, type Ruling, unmeasured } from '../ruling.js';

export const STATE_LAYOUT = 'State the channel layout in the file.';

/** Why nobody knows which channels of a stream are a left and a right one. */
export function pairsNotStated({ stream }: OneStream): string {
  return `which of the ${stream.channels} channels are a left and a right one is not stated`;
}

/** One stream of one channel has no phase against another; of several nobody knows which belong together. */
export function withoutPair({ measurement, stream }: OneStream): Ruling {
  if (measurement.audio.length === 1) return met(`${count(stream.channels, 'channel')}, no left and right`);
  const reason = 'one of several streams without a left and a right channel of its own';
  return unmeasured(reason, 'Measure left and right as one stream with its channel layout.');
}
