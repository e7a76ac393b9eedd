import type { PictureCodec } from './picture-codec.js';
import { STORED } from './stored-pictures.js';

/** Integers as they are, 8 to 16 bits (SMPTE ST 268-1). ffmpeg stores 12 bits in words of 16. */
export const dpx = {
  ...STORED,
  name: 'dpx',
  title: 'DPX',
  decodedAs: 'dpx',
  encoder: 'dpx',
  usualFormats: ['gbrp10le', 'gbrp12le'],
  containers: ['dpx'],
  bitsPerPixel: ({ video }) => (video.bitDepth === 8 ? 24 : video.bitDepth === 10 ? 32 : 48),
  encoderArguments: () => ['-c:v', 'dpx'],
} as const satisfies PictureCodec;
