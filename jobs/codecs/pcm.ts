import type { SoundCodec } from './sound-codec.js';

/** Samples as they are, 16 bits each. */
export const pcm16 = {
  name: 'pcm_s16le',
  title: 'PCM, 16 bits',
  bitsPerSample: 16,
  exact: true,
  loss: 'sound is kept at 16 bits',
} as const satisfies SoundCodec;

/** Samples as they are, 24 bits each. */
export const pcm24 = {
  name: 'pcm_s24le',
  title: 'PCM, 24 bits',
  bitsPerSample: 24,
  exact: true,
  loss: null,
} as const satisfies SoundCodec;
