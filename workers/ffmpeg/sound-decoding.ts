import type { AudioFacts } from '../../jobs/manifest/facts.js';

/**
 * Decoders that by default apply dynamic range compression from the stream.
 */
const COMPRESSING: ReadonlySet<string> = new Set(['ac3', 'eac3']);

/**
 * Decoders that verify checksums only on request. Without it ffmpeg 5.1 reported almost none of 100 flipped
 * bits in AC-3, E-AC-3, FLAC, WavPack and True Audio; with it all of them. TrueHD, and everything in Ogg, is
 * always verified. Others (AAC, MP2, MP3, Opus, DTS, ALAC, PCM) have no checksum, or one that ffmpeg does not
 * read.
 */
const CHECKED: ReadonlySet<string> = new Set(['flac', 'ac3', 'eac3', 'wavpack', 'tta']);

/**
 * Input options to decode the sound as it was mixed: without dynamic range compression (the default of
 * `drc_scale` is 1), which would change loudness and range; with checksums verified, so that damage is
 * detected; and with the decoder that the container requires, where ffmpeg would choose another.
 */
export function soundDecoding(audio: readonly AudioFacts[]): string[] {
  return audio.flatMap(({ codec, decoder, stream }) => [
    ...(decoder === undefined ? [] : [`-c:${stream}`, decoder]),
    ...(COMPRESSING.has(codec) ? [`-drc_scale:${stream}`, '0'] : []),
    ...(CHECKED.has(codec) ? [`-err_detect:${stream}`, 'crccheck'] : []),
  ]);
}
