import type { SoundCodec } from './sound-codec.js';

/** AAC-LC (ISO/IEC 14496-3) by ffmpeg's own encoder. */
export const aac = {
  name: 'aac',
  title: 'AAC',
  bitsPerSample: 3,
  exact: false,
  loss: 'sound is coded lossily (AAC)',
} as const satisfies SoundCodec;
