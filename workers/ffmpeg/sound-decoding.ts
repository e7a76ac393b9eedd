import type { AudioFacts } from '../../jobs/manifest/facts.js';

/** Decoders that turn the sound up and down by gains the stream carries, for night-time listening, unless told not to. */
const COMPRESSING: ReadonlySet<string> = new Set(['ac3', 'eac3']);

/**
 * Input options with which the sound is decoded as it was mixed: without dynamic range compression (ffmpeg's `drc_scale`
 * is 1 by itself), which would change loudness and range.
 */
export function soundDecoding(audio: readonly AudioFacts[]): string[] {
  return audio.flatMap(({ codec, stream }) => (COMPRESSING.has(codec) ? [`-drc_scale:${stream}`, '0'] : []));
}
