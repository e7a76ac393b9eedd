import type { VideoFacts } from '../jobs/manifest/facts.js';
import { parseRational, type Rational, rational, toNumber } from '../signal/rational.js';

/** Rates edit systems work at (common practice, no source; those up to 60 are in ST 12-1 or BT.2100). Rising. */
const STANDARD_RATES: readonly Rational[] = [
  rational(24_000, 1001),
  rational(24),
  rational(25),
  rational(30_000, 1001),
  rational(30),
  rational(48),
  rational(50),
  rational(60_000, 1001),
  rational(60),
  rational(100),
  rational(120_000, 1001),
  rational(120),
];

/** The average of a variable rate wobbles with the last frame: half a per cent over a standard rate is that rate. */
const WOBBLE = 0.995;

/**
 * Frames a second of an output. A constant rate is kept as it is. A variable one (phones, screen recordings) becomes the lowest
 * standard rate that shows every frame: its average is no rate anything can be edited at. Null when the clip
 * states no usable rate.
 */
export function outputRate(video: VideoFacts, wanted: 'source' | (string & {})): Rational | null {
  const stated = parseRational(wanted === 'source' ? (video.frameRate ?? '') : wanted);
  if (stated === null || toNumber(stated) < 1 || toNumber(stated) > 1000) return null;
  if (wanted !== 'source' || video.constantRate !== false) return stated;
  const average = toNumber(stated) * WOBBLE;
  return STANDARD_RATES.find((rate) => toNumber(rate) >= average) ?? stated;
}
