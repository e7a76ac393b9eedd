import type { VideoFacts } from '../jobs/manifest/facts.js';
import { parseRational, type Rational, toNumber } from '../signal/rational.js';
import { STANDARD_RATES } from '../signal/standard-rates.js';

/** A mean wobbles with the last frame: half a per cent over a standard rate is that rate. */
const WOBBLE = 0.995;

/**
 * Frames a second of an output. A constant rate is kept as it is. A variable one (phones, screen recordings)
 * becomes the rate most frames have where that loses none of them, else the lowest standard rate that loses
 * none: a mean is no rate anything can be edited at. Null when the clip states no usable rate.
 */
export function outputRate(video: VideoFacts, wanted: 'source' | (string & {})): Rational | null {
  const stated = parseRational(wanted === 'source' ? (video.frameRate ?? '') : wanted);
  if (stated === null || toNumber(stated) < 1 || toNumber(stated) > 1000) return null;
  if (wanted !== 'source' || video.constantRate !== false) return stated;
  if (video.steady !== undefined) return parseRational(video.steady.rate);
  const least = toNumber(stated) * WOBBLE;
  return STANDARD_RATES.find((rate) => toNumber(rate) >= least) ?? stated;
}
