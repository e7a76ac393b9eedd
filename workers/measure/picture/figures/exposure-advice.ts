import { fixed, signed } from '../../../../jobs/words/numbers.js';
import { percent } from '../../../../jobs/words/quantities.js';

/** Shares of the picture from which an exposure deserves a word. Common practice, no source. */
const CLIPPED = 0.005;
const NOISY = 0.25;
/** Stops over 18 % grey a diffuse white lies at: log2(0.9 / 0.18). */
const WHITE_STOPS = Math.log2(0.9 / 0.18);

export interface ExposureShares {
  readonly medianStops: number;
  /** Stops of the 99th percentile. */
  readonly brightStops: number;
  readonly clippedArea: number;
  readonly noiseFloorArea: number;
}

/**
 * One sentence of advice on how a clip is exposed. Advice, no verdict: night scenes are dark and the sun
 * clips.
 */
export function exposureAdvice({
  medianStops,
  brightStops,
  clippedArea,
  noiseFloorArea,
}: ExposureShares): string {
  const clipped = clippedArea >= CLIPPED;
  const noisy = noiseFloorArea >= NOISY;
  if (clipped && noisy) {
    return `${percent(clippedArea)} of the picture looks clipped and ${percent(noiseFloorArea)} lies in the noise: the scene has more contrast than the camera held.`;
  }
  if (clipped) {
    return `${percent(clippedArea)} of the picture looks clipped: what is gone cannot be graded back; if it is not the sun or a lamp, expose lower.`;
  }
  if (noisy && brightStops < WHITE_STOPS) {
    const room = WHITE_STOPS - brightStops;
    return `${percent(noiseFloorArea)} of the picture lies in the noise and nothing comes near white: if the scene is not meant to be dark there was room for ${fixed(room, 1)} stops more.`;
  }
  if (noisy)
    return `${percent(noiseFloorArea)} of the picture lies in the noise: look at the shadows before lifting them.`;
  return `Nothing clipped to speak of; the middle of the picture lies ${signed(medianStops, 1)} stops from 18 % grey.`;
}
