import type { TrackEdit } from '../../../jobs/measurement/measured-container.js';
import { MOST_SAMPLES, type Samples } from './sample-tables.js';
import { DamagedBoxes } from './walk-boxes.js';

export interface PresentedSamples {
  readonly times: Float64Array;
  /**
   * Edits that begin within a frame, which is then shown in part. Depending on the codec ffmpeg drops it,
   * shows it, or drops another one.
   */
  readonly partly: number;
}

/**
 * When the samples of a picture track are presented, in ticks of the track, ascending, without those that the
 * edit list hides (ISO/IEC 14496-12, clause 8.6.6). A frame that begins before its edit is left out too, and
 * the next one shown in its place, as in ffmpeg. Null where an edit changes the speed or holds a frame: then
 * the times of samples are not those of frames.
 *
 * @throws DamagedBoxes for a list that presents more frames than any real file
 */
export function presentedTimes(
  samples: Pick<Samples, 'presentationTimes'>,
  edits: readonly TrackEdit[] | null,
  timescale: number,
): PresentedSamples | null {
  if (edits === null) return null;
  const all = samples.presentationTimes.slice().sort();
  if (edits.length === 0) return { times: all, partly: 0 };
  if (edits.some(({ mediaStartSeconds, rate }) => mediaStartSeconds !== null && rate !== 1)) return null;
  const shown: number[] = [];
  let begins = 0;
  let partly = 0;
  for (const { seconds, mediaStartSeconds } of edits) {
    const length = seconds === null ? Number.POSITIVE_INFINITY : Math.round(seconds * timescale);
    if (mediaStartSeconds !== null) {
      const from = Math.round(mediaStartSeconds * timescale);
      // A list is short; the samples of one edit are contiguous.
      const start = firstNotBefore(all, from);
      const isWithin = start > 0 && all[start] !== from;
      if (isWithin) partly++;
      // ffmpeg shows the first complete frame where the edit begins.
      const origin = isWithin ? (all[start] ?? from) : from;
      for (let i = start; i < all.length; i++) {
        const time = all[i] ?? 0;
        if (time - from >= length) break;
        if (shown.length === MOST_SAMPLES)
          throw new DamagedBoxes('its edit list presents millions of frames');
        shown.push(begins + time - origin);
      }
    }
    begins += length;
  }
  return { times: Float64Array.from(shown).sort(), partly };
}

function firstNotBefore(times: Float64Array, time: number): number {
  let [low, high] = [0, times.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times[middle] ?? 0) < time) low = middle + 1;
    else high = middle;
  }
  return low;
}
