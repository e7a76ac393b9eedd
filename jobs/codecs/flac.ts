import type { SoundCodec } from './sound-codec.js';

/** FLAC (RFC 9639), lossless; the size is common practice, no source. */
export const flac = {
  name: 'flac',
  title: 'FLAC',
  bitsPerSample: 14,
  exact: true,
  loss: null,
} as const satisfies SoundCodec;
