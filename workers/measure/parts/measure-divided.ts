import type { Measurement } from '../../../jobs/measurement.js';
import { decodesOnOneThread } from '../../capabilities/decoder-threads.js';
import { divideFile, isUndivided, type Undivided } from './divide.js';
import { measureInParts, type PartsOptions } from './measure-in-parts.js';

/** In parts shorter than this, the frames that are looked at twice (3 seconds for each seam) cost more than is gained. */
const LEAST_FRAMES = 250;
/** Every part has a process of ffmpeg and two threads. How many there may be for their memory is told by `partsInMemory`. */
const MOST_PARTS = 8;

/**
 * Measures a file in parts at once where its decoder would leave processors idle and the file is of a kind that can be cut; the
 * reason where not.
 *
 * @param parts how many may be measured at once
 *
 * Throws as `measureInParts` does.
 */
export async function measureDivided(parts: number, options: PartsOptions): Promise<Measurement | Undivided> {
  const { facts, colour, ffmpegPath } = options;
  const limits = { parts: Math.min(parts, MOST_PARTS), leastFrames: LEAST_FRAMES };
  const division = divideFile(facts, colour, limits);
  if (isUndivided(division)) return division;
  const { codec } = division.video;
  if ((await decodesOnOneThread(codec, ffmpegPath)) !== true) {
    return { whole: `the decoder of ${codec} keeps several processors busy by itself` };
  }
  const measured = await measureInParts(division, options);
  if (!isUndivided(measured)) options.onProgress?.(1);
  return measured;
}
