import { codecOfEncoder } from '../codecs/picture-codecs.js';
import { soundCodec } from '../codecs/sound-codecs.js';
import type { PlannedJob, PlannedOutput } from '../plan/plan.js';

/** Megapixels a second that one core decodes and measures of an original. */
export const MEASURED_MEGAPIXELS_PER_CORE_SECOND = 30;

/** The figures of the codecs for one output, before any experience. */
export interface Modelled {
  readonly pictureBytes: number;
  readonly soundBytes: number;
  /** Seconds of one core: coding it, and decoding and measuring the result. */
  readonly coreSeconds: number;
  /** Megapixels of the output. */
  readonly megapixels: number;
}

/**
 * Size and work of an output by the figures of its codec. Pure.
 *
 * @param channels of sound in the clip
 */
export function modelOutput(
  recipe: PlannedOutput['recipe'],
  frames: number,
  durationSeconds: number,
  channels: number,
): Modelled {
  const { video, audio, raster } = recipe;
  const pixels = raster.width * raster.height * frames;
  const codec = codecOfEncoder(video.encoder);
  let bits = codec.bitsPerPixel(recipe) * pixels;
  if (video.maxBitRate !== null) bits = Math.min(bits, video.maxBitRate * durationSeconds);
  return {
    pictureBytes: bits / 8,
    soundBytes: audio === null ? 0 : (soundBitRate(audio, channels) * durationSeconds) / 8,
    coreSeconds: pixels / 1e6 / codec.megapixelsPerCoreSecond,
    megapixels: pixels / 1e6,
  };
}

function soundBitRate(audio: NonNullable<PlannedOutput['recipe']['audio']>, channels: number): number {
  if (audio.bitRate !== null) return audio.bitRate;
  const kept = audio.stereo !== null ? 2 : channels;
  return soundCodec(audio.codec).bitsPerSample * (audio.sampleRate ?? 48_000) * kept;
}

/** The same of an output that is planned. */
export function modelPlanned({ recipe }: Pick<PlannedOutput, 'recipe'>, clip: PlannedJob['clip']): Modelled {
  const { video, container, audio } = clip.facts;
  const seconds = video?.durationSeconds ?? container.durationSeconds ?? 0;
  const channels = audio.reduce((sum, stream) => sum + stream.channels, 0);
  return modelOutput(recipe, video?.frames ?? 0, seconds, channels);
}

/** Megapixels of the clip itself. */
export function clipMegapixels({ facts: { video } }: PlannedJob['clip']): number {
  return video === null ? 0 : (video.width * video.height * (video.frames ?? 0)) / 1e6;
}
