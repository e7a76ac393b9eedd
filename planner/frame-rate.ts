import type { VideoFacts } from '../jobs/manifest/facts.js';
import { parseRational, type Rational, toNumber } from '../signal/rational.js';
import { STANDARD_RATES } from '../signal/standard-rates.js';

/**
 * A mean rate varies with the last frame: up to half a per cent above a standard rate counts as that rate.
 */
const MEAN_RATE_TOLERANCE = 0.995;

/**
 * Frames a second of an output. A constant rate is kept as it is. A variable one (phones, screen recordings)
 * becomes the rate of most frames where that loses none of them, otherwise the lowest standard rate that
 * loses none: a mean rate is no rate for editing. Null when the clip declares no usable rate.
 */
export function outputRate(video: VideoFacts, requested: 'source' | (string & {})): Rational | null {
  const stated = parseRational(requested === 'source' ? (video.frameRate ?? '') : requested);
  if (stated === null || toNumber(stated) < 1 || toNumber(stated) > 1000) return null;
  if (requested !== 'source' || video.constantRate !== false) return stated;
  if (video.steady !== undefined) return parseRational(video.steady.rate);
  const least = toNumber(stated) * MEAN_RATE_TOLERANCE;
  return STANDARD_RATES.find((rate) => toNumber(rate) >= least) ?? stated;
}
