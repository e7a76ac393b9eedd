import type { AudioFacts } from '../../jobs/manifest/facts.js';

/**
 * Decoders that turn the sound up and down by gains the stream carries, for night-time listening, unless told
 * not to.
 */
const COMPRESSING: ReadonlySet<string> = new Set(['ac3', 'eac3']);

/**
 * Decoders that hold each frame against its checksum only when told to. Of 100 flipped bits in AC-3, E-AC-3
 * and FLAC ffmpeg 5.1 passed nearly all without a word, WavPack and True Audio too; with the check none.
 * TrueHD, and everything in Ogg, is checked without being told. Others (AAC, MP2, MP3, Opus, DTS, ALAC, PCM)
 * carry no checksum, or one that ffmpeg does not read.
 */
const CHECKED: ReadonlySet<string> = new Set(['flac', 'ac3', 'eac3', 'wavpack', 'tta']);

/**
 * Input options with which the sound is decoded as it was mixed: without dynamic range compression (ffmpeg's
 * `drc_scale` is 1 by itself), which would change loudness and range; with its checksums read, so that damage
 * is told; and by the decoder that its container asks for, where ffmpeg would take another.
 */
export function soundDecoding(audio: readonly AudioFacts[]): string[] {
  return audio.flatMap(({ codec, decoder, stream }) => [
    ...(decoder === undefined ? [] : [`-c:${stream}`, decoder]),
    ...(COMPRESSING.has(codec) ? [`-drc_scale:${stream}`, '0'] : []),
    ...(CHECKED.has(codec) ? [`-err_detect:${stream}`, 'crccheck'] : []),
  ]);
}
