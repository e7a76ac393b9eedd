import type { OutputRecipe } from '../jobs/plan/plan.js';

/**
 * First, honest guesses of size and time; a plan says "about". Sizes of intermediates follow the target rates of
 * RDD 36 (HD at 30000/1001, published-values J); the rest is common practice for camera pictures, no source.
 */
const BITS_PER_PIXEL: Readonly<Record<string, number>> = {
  'prores_ks/proxy': 0.72,
  'prores_ks/lt': 1.64,
  'prores_ks/standard': 2.37,
  'prores_ks/hq': 3.54,
  'prores_ks/4444': 5.31,
  'prores_ks/4444xq': 8.05,
  cfhd: 6,
};

/** Megapixels a second one core encodes, decoding and measuring the result included; measured on small clips of one machine. */
const MEGAPIXELS_PER_CORE_SECOND: Readonly<Record<OutputRecipe['video']['encoder'], number>> = {
  prores_ks: 14,
  cfhd: 14,
  ffv1: 14,
  libx264: 10,
  libx265: 2,
};

/** Megapixels a second one core decodes and measures of an original. */
export const MEASURED_MEGAPIXELS_PER_CORE_SECOND = 30;

const AUDIO_BITS_PER_SAMPLE = { pcm_s16le: 16, pcm_s24le: 24, flac: 14, aac: 3 } as const;

function videoBitsPerPixel(recipe: OutputRecipe): number {
  const { video } = recipe;
  if (video.encoder === 'prores_ks') return BITS_PER_PIXEL[`prores_ks/${video.profile ?? 'hq'}`] ?? 3.54;
  if (video.encoder === 'cfhd') return BITS_PER_PIXEL.cfhd ?? 6;
  const samples = { '4:4:4': 3, '4:2:2': 2, '4:2:0': 1.5, '4:1:1': 1.5, '4:0:0': 1 }[video.chroma];
  // Camera noise keeps lossless coding near six tenths of the raw size.
  if (video.encoder === 'ffv1' || video.lossless) return 0.6 * samples * video.bitDepth;
  // Six steps of quality halve or double the rate.
  const atReference = video.encoder === 'libx264' ? 0.11 : 0.07;
  return atReference * 2 ** ((23 - (video.crf ?? 23)) / 6);
}

export interface Estimate {
  readonly bytes: number;
  readonly seconds: number;
}

export function estimateOutput(
  recipe: OutputRecipe,
  frames: number,
  durationSeconds: number,
  cores: number,
  audioChannels: number,
): Estimate {
  const pixels = recipe.raster.width * recipe.raster.height * frames;
  let bits = videoBitsPerPixel(recipe) * pixels;
  if (recipe.video.maxBitRate !== null) bits = Math.min(bits, recipe.video.maxBitRate * durationSeconds);
  if (recipe.audio !== null) {
    const channels = recipe.audio.channels === 'stereo' ? 2 : audioChannels;
    const rate = recipe.audio.sampleRate ?? 48_000;
    bits +=
      recipe.audio.bitRate !== null
        ? recipe.audio.bitRate * durationSeconds
        : AUDIO_BITS_PER_SAMPLE[recipe.audio.codec] * rate * channels * durationSeconds;
  }
  return {
    bytes: Math.round(bits / 8),
    seconds: pixels / 1e6 / (MEGAPIXELS_PER_CORE_SECOND[recipe.video.encoder] * cores),
  };
}
