import { codecOfEncoder } from '../jobs/codecs/picture-codecs.js';
import { soundCodec } from '../jobs/codecs/sound-codecs.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';

/** Megapixels a second that one core decodes and measures of an original. */
export const MEASURED_MEGAPIXELS_PER_CORE_SECOND = 30;

export interface Estimate {
  readonly bytes: number;
  readonly seconds: number;
}

/**
 * Rough estimates of size and time, from figures of each codec; a plan says "about". Bytes and seconds.
 */
export function estimateOutput(
  recipe: OutputRecipe,
  frames: number,
  durationSeconds: number,
  cores: number,
  audioChannels: number,
): Estimate {
  const pixels = recipe.raster.width * recipe.raster.height * frames;
  const codec = codecOfEncoder(recipe.video.encoder);
  let bits = codec.bitsPerPixel(recipe) * pixels;
  if (recipe.video.maxBitRate !== null) bits = Math.min(bits, recipe.video.maxBitRate * durationSeconds);
  if (recipe.audio !== null) {
    const channels = recipe.audio.stereo !== null ? 2 : audioChannels;
    const rate = recipe.audio.sampleRate ?? 48_000;
    bits +=
      recipe.audio.bitRate !== null
        ? recipe.audio.bitRate * durationSeconds
        : soundCodec(recipe.audio.codec).bitsPerSample * rate * channels * durationSeconds;
  }
  return {
    bytes: Math.round(bits / 8),
    seconds: pixels / 1e6 / (codec.megapixelsPerCoreSecond * cores),
  };
}
