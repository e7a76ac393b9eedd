import { fixed, signed } from '../../../../jobs/words/numbers.js';
import { percent } from '../../../../jobs/words/quantities.js';

/** Fractions of the picture from which the exposure gets a remark. Common practice, no source. */
const CLIPPED = 0.005;
const NOISY = 0.25;
/** Diffuse white in stops over 18 % grey: log2(0.9 / 0.18). */
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
    return `${percent(clippedArea)} of the picture looks clipped and ${percent(noiseFloorArea)} is at the noise floor: the scene had more contrast than the camera can record.`;
  }
  if (clipped) {
    return `${percent(clippedArea)} of the picture looks clipped and cannot be recovered in the grade; if it is not the sun or a lamp, expose lower.`;
  }
  if (noisy && brightStops < WHITE_STOPS) {
    const room = WHITE_STOPS - brightStops;
    return `${percent(noiseFloorArea)} of the picture lies in the noise and nothing comes near white: if the scene is not meant to be dark there was room for ${fixed(room, 1)} stops more.`;
  }
  if (noisy)
    return `${percent(noiseFloorArea)} of the picture is at the noise floor: check the shadows before lifting them.`;
  return `No significant clipping; the median of the picture is ${signed(medianStops, 1)} stops from 18 % grey.`;
}
